import type { CatalogPart, Machine, PartNeed } from '../domain/contract'
import { matchSheets } from '../domain/machines/sheetMatching'
import { fitOf, PART_FITS, type PartFit } from '../domain/parts/fits'
import { job } from './jobs'
import { machine } from './machines'
import { allOf, compare } from './rows/selectors'
import { likeness, wordsIn, wordsToFind } from './search/textMatch'

/** A part to choose from: used before on this machine or one like it, or in the catalog. */
export interface KnownPart {
  key: string
  /** The need or the part of the catalog that it is copied from. */
  part: PartNeed | CatalogPart
  catalog_part_id: string | null
  fit: PartFit | null
  /** The machine it was used on; null: it is only in the catalog. */
  machine: Machine | null
}

const SHOWN = 5
const NOT_USED: ReadonlySet<PartNeed['state']> = new Set(['cancelled', 'sent_back', 'no_longer_made'])

/** The families of the sheets about a machine. */
const familiesOf = (row: Machine): ReadonlySet<string> =>
  new Set(
    matchSheets(
      row,
      allOf('sheet').filter(({ archived }) => !archived),
    )
      .filter(({ fit }) => fit !== 'make')
      .map(({ sheet }) => sheet.family.trim().toLowerCase())
      .filter(Boolean),
  )

/**
 * Parts of earlier jobs and of the catalog that match what is typed: first those used on this machine, then on one like
 * it: same model, same engine, same family, same make. While nothing is typed: those alone. Works offline.
 */
export function knownParts(row: Machine, typed: string): KnownPart[] {
  const asked = wordsIn(typed)
  const families = new Map<string, ReadonlySet<string>>()
  const familiesFor = (one: Machine) => {
    const found = families.get(one.id) ?? familiesOf(one)
    families.set(one.id, found)
    return found
  }
  const found = new Map<string, KnownPart & { score: number; at: string }>()
  const offer = (each: KnownPart, at: string) => {
    const score = scoreOf(each.part, asked)
    if (score === null || (!asked.length && each.fit === null)) return
    const before = found.get(each.key)
    if (before && (placeOf(before) < placeOf(each) || (placeOf(before) === placeOf(each) && before.at >= at)))
      return
    found.set(each.key, { ...each, score, at })
  }
  for (const need of allOf('part_need')) {
    if (NOT_USED.has(need.state)) continue
    const used = machine(job(need.job_id)?.machine_id ?? '') ?? null
    const fit = used && fitOf(row, used, familiesFor)
    offer(
      { key: keyOf(need), part: need, catalog_part_id: need.catalog_part_id, fit, machine: used },
      need.created_at,
    )
  }
  for (const part of allOf('catalog_part'))
    if (!part.archived)
      offer({ key: keyOf(part), part, catalog_part_id: part.id, fit: null, machine: null }, '')
  return [...found.values()]
    .sort((a, b) => placeOf(a) - placeOf(b) || b.score - a.score || compare(b.at, a.at))
    .slice(0, SHOWN)
}

const keyOf = ({ number, description }: Pick<PartNeed, 'number' | 'description'>): string =>
  number ? wordsIn(number).join(' ') : wordsIn(description).join(' ')

const placeOf = ({ fit, machine: used }: KnownPart): number =>
  fit === null ? PART_FITS.length + (used ? 0 : 1) : PART_FITS.indexOf(fit)

/** How well a part matches the words typed; null: one of them is not found. */
function scoreOf({ number, description }: KnownPart['part'], asked: readonly string[]): number | null {
  const own = wordsToFind(`${description} ${number}`)
  const scores = asked.map((word) => Math.max(...own.map((one) => likeness(one, word)), 0))
  return scores.includes(0) ? null : scores.reduce((sum, score) => sum + score, 0)
}
