import type { Finding, Fuel, HandOver, Stop, StopKind } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { agreed, hasDecided } from '../../../store/agreed'
import type { HandedOver } from '../../../store/dispatch'
import { declinedBefore, findingsOf } from '../../../store/jobs'
import type { Drawn } from '../../components/Ink'
import { figures } from '../../shopFigures'
import { aboutStop } from './about'

const its = en.dispatch.hand

export type View = keyof typeof its.views
export type PartKey = keyof typeof its.parts
export type Condition = HandOver['condition'][number]['state']

export const VIEWS = Object.keys(its.views) as View[]
export const PARTS = Object.keys(its.parts) as PartKey[]
export const STATES = Object.keys(its.states) as Condition[]
export const FUELS = Object.keys(its.fuels) as Fuel[]
export const MADE = Object.keys(its.made) as (keyof typeof its.made)[]
export const LEFT = Object.keys(its.left) as (keyof typeof its.left)[]

export type Step = 'pictures' | 'condition' | 'meter' | 'keeps' | 'safe' | 'left' | 'turn'

/** What the member goes through, one screen after the other; with `turn` the phone is turned round. */
export const STEPS: Record<StopKind, readonly Step[]> = {
  pickup: ['pictures', 'condition', 'meter', 'keeps', 'safe', 'turn'],
  return: ['pictures', 'meter', 'left', 'turn'],
  visit: ['left', 'turn'],
}

/** What was gone through so far; kept through a reload. */
export interface Handing {
  step: number
  condition: Partial<Record<PartKey, { state: Condition; note: string }>>
  hours: string
  fresh: boolean
  /** The hours that were asked about once already. */
  asked: string
  keys: string
  fuel: Fuel
  accessories: string
  runs: 'yes' | 'no' | ''
  made: (typeof MADE)[number][]
  straps: string
  left: (typeof LEFT)[number][]
  leftNote: string
  heard: string[]
  /** Nobody is there to sign, or they will not. */
  nobody: boolean
  /** Where the owner is while they hold the phone. */
  owner: 'open' | 'sign' | 'unsigned'
  name: string
  strokes: Drawn
  box: { width: number; height: number }
}

export const UNTOUCHED: Handing = {
  step: 0,
  condition: {},
  hours: '',
  fresh: false,
  asked: '',
  keys: '',
  fuel: 'unknown',
  accessories: '',
  runs: '',
  made: [],
  straps: '',
  left: [],
  leftNote: '',
  heard: [],
  nobody: false,
  owner: 'open',
  name: '',
  strokes: [],
  box: { width: 1, height: 1 },
}

const NOTE = 60

/** The lists as they are kept: keys of what was ticked, then what was typed. */
export function madeSafe({ made, straps }: Handing): string[] {
  const count = Number(straps)
  return [...made, ...(count > 0 ? [its.strapsTold(count)] : [])]
}

export function asLeft({ left, leftNote }: Handing): string[] {
  const note = leftNote.trim().slice(0, NOTE)
  return [...left, ...(note ? [note] : [])]
}

export function conditionOf({ condition }: Handing): HandOver['condition'] {
  return PARTS.flatMap((part) => {
    const seen = condition[part]
    return seen ? [{ part, state: seen.state, note: seen.note.trim() }] : []
  })
}

const wordsFor = (list: Readonly<Record<string, string>>, key: string): string => list[key] ?? key

export const madeWords = (made: readonly string[]) => made.map((key) => wordsFor(its.made, key)).join('\n')
export const leftWords = (left: readonly string[]) => left.map((key) => wordsFor(its.left, key)).join('\n')

export function conditionWords(condition: HandOver['condition']): string {
  return condition
    .map(({ part, state, note }) =>
      en.app.joined([`${wordsFor(its.parts, part)}: ${its.states[state]}`, note]),
    )
    .join('\n')
}

/** Found on this job or declined before, able to hurt someone, and nobody said yes to mending it. */
export function openFindings(row: Stop): Finding[] {
  const { job } = aboutStop(row)
  if (!job || row.kind === 'pickup') return []
  return [...findingsOf(job.id), ...declinedBefore(job)].filter(
    ({ rank, decided }) => rank === 'safety' && decided !== 'accepted',
  )
}

/** What is due when a machine comes back: as accepted so far. Null: nothing was decided. */
export function dueAt(row: Stop): number | null {
  if (row.kind === 'pickup' || !hasDecided(row.job_id)) return null
  return agreed(row.job_id, Date.now())?.total ?? null
}

/** Everything that is kept of a hand-over, as it was gone through. */
export function handedOver(row: Stop, fields: Handing): HandedOver {
  const hours = figures.value.readNumber(fields.hours)
  const signs = !fields.nobody
  return {
    stop_id: row.id,
    condition: [...conditionOf(fields)],
    meter: hours === null ? null : { hours, new_segment: fields.fresh },
    keys: fields.keys.trim(),
    fuel: fields.fuel,
    accessories: fields.accessories.trim(),
    runs: fields.runs === '' ? null : fields.runs === 'yes',
    made_safe: row.kind === 'pickup' ? madeSafe(fields) : [],
    as_left: row.kind === 'pickup' ? [] : asLeft(fields),
    acknowledged: openFindings(row)
      .filter((finding) => signs && fields.heard.includes(finding.id))
      .map(({ words }) => words),
    amount_due_minor: dueAt(row),
    signer_name: signs ? fields.name.trim() : '',
    ink: signs ? { strokes: fields.strokes, ...fields.box } : null,
  }
}
