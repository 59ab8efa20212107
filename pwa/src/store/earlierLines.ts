import { computed, type ReadonlySignal } from '@preact/signals'
import type { QuoteLine } from '../domain/contract'
import { job } from './jobs'
import { machine } from './machines'
import { quote } from './quotes'
import { allOf, compare } from './rows/selectors'
import { likeness, wordsIn, wordsToFind } from './search/textMatch'

/** What the shop has quoted before under one description and part number. */
export interface EarlierLine {
  /** The latest of them. */
  line: QuoteLine
  /** The kinds of machine it was quoted for. */
  machineKinds: ReadonlySet<string>
  /** The machine of the latest. */
  machineId: string
  times: number
  /** What a search compares. */
  words: readonly string[]
}

type QuotedKind = 'labor' | 'part'

const known: Readonly<Record<QuotedKind, ReadonlySignal<EarlierLine[]>>> = {
  labor: computed(() => group('labor')),
  part: computed(() => group('part')),
}

/** The lines of a kind, grouped by description and part number, the latest first. */
function group(kind: QuotedKind): EarlierLine[] {
  const found = new Map<string, EarlierLine & { machineKinds: Set<string> }>()
  const lines = allOf('quote_line').filter((line) => line.kind === kind)
  for (const line of lines.sort((a, b) => compare(b.created_at, a.created_at) || compare(b.id, a.id))) {
    const key = [...wordsIn(line.words), ...wordsIn(line.part_number ?? '')].join(' ')
    const machineId = job(quote(line.quote_id)?.job_id ?? '')?.machine_id ?? ''
    const machineKind = machine(machineId)?.kind ?? ''
    const same = found.get(key)
    if (same) {
      same.times += 1
      same.machineKinds.add(machineKind)
      continue
    }
    const words = wordsToFind(`${line.words} ${line.part_number ?? ''} ${line.operation ?? ''}`)
    found.set(key, { line, machineId, machineKinds: new Set([machineKind]), times: 1, words })
  }
  return [...found.values()]
}

const SHOWN = 4

/**
 * Earlier lines of a kind that match what is typed, best first: every typed word has to be found; then those quoted for
 * this kind of machine, then by how often, then the latest. While nothing is typed: those for this kind of machine.
 * Works offline.
 */
export function earlierLines(kind: QuotedKind, typed: string, machineKind: string): EarlierLine[] {
  const asked = wordsIn(typed)
  const scored = known[kind].value.flatMap((each) => {
    const scores = asked.map((word) => Math.max(...each.words.map((one) => likeness(one, word)), 0))
    const fits = each.machineKinds.has(machineKind)
    if (asked.length ? scores.includes(0) : !fits) return []
    return [{ each, fits, score: scores.reduce((sum, score) => sum + score, 0) }]
  })
  return scored
    .sort((a, b) => b.score - a.score || Number(b.fits) - Number(a.fits) || b.each.times - a.each.times)
    .slice(0, SHOWN)
    .map(({ each }) => each)
}
