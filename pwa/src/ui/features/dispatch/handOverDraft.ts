import {
  type Finding,
  type Fuel,
  HAND_OVER_STEPS,
  type HandOver,
  type JobStopKind,
  type Stop,
} from '../../../domain/contract'
import { hand as t } from '../../../domain/words/handover'
import { en } from '../../../domain/words/index'
import { agreed, hasDecided } from '../../../store/agreed'
import type { HandOverInput } from '../../../store/dispatchCommands'
import { declinedBefore, findingsOf, safetyItemsOf } from '../../../store/findings'
import type { Strokes } from '../../components/SignatureCanvas'
import { reader } from '../../reader'
import { readerLanguage } from '../../readerLanguage'
import { typedFormat } from '../../shopFormat'
import type { Draft } from '../../useDraft'
import { aboutStop } from './stopText'

export type View = keyof typeof t.views
export type PartKey = keyof typeof t.parts
export type Condition = HandOver['condition'][number]['state']

export const VIEWS = Object.keys(t.views) as View[]
export const PARTS = Object.keys(t.parts) as PartKey[]
export const STATES = Object.keys(t.states) as Condition[]
export const FUELS = Object.keys(t.fuels) as Fuel[]
export const MADE = Object.keys(t.made) as (keyof typeof t.made)[]
export const LEFT = Object.keys(t.left) as (keyof typeof t.left)[]

export type Step = (typeof HAND_OVER_STEPS)[JobStopKind][number] | 'turn'

/**
 * The steps of the member, one screen each; at `turn` the phone is handed to the customer. A kind of stop that only a
 * newer server knows is handled as a visit.
 */
export const stepsOf = (kind: JobStopKind): readonly Step[] => [
  ...(HAND_OVER_STEPS[kind] ?? HAND_OVER_STEPS.visit),
  'turn',
]

/** The hand-over so far; kept as a draft through a reload. */
export interface HandOverDraft {
  step: number
  condition: Partial<Record<PartKey, { state: Condition; note: string }>>
  hours: string
  fresh: boolean
  /** The implausible hours that the member was already asked to confirm. */
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
  /** Nobody is there to sign, or they refuse. */
  nobody: boolean
  /** The step the customer is at in customer mode. */
  customerStep: 'open' | 'sign' | 'unsigned'
  name: string
  strokes: Strokes
  box: { width: number; height: number }
}

/** The props of each step. */
export interface StepProps {
  row: Stop
  draft: Draft<HandOverDraft>
  errors: Readonly<Record<string, string | undefined>>
}

export const BLANK_HAND_OVER: HandOverDraft = {
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
  customerStep: 'open',
  name: '',
  strokes: [],
  box: { width: 1, height: 1 },
}

const NOTE = 60

/** The lists as they are stored: keys of the ticked options, then the typed text. */
export function madeSafe({ made, straps }: HandOverDraft): string[] {
  const count = Number(straps)
  return [...made, ...(count > 0 ? [reader.value.hand.strapsOn(count)] : [])]
}

export function asLeft({ left, leftNote }: HandOverDraft): string[] {
  const note = leftNote.trim().slice(0, NOTE)
  return [...left, ...(note ? [note] : [])]
}

export function conditionOf({ condition }: HandOverDraft): HandOver['condition'] {
  return PARTS.flatMap((part) => {
    const seen = condition[part]
    return seen ? [{ part, state: seen.state, note: seen.note.trim() }] : []
  })
}

const wordsFor = (list: Readonly<Record<string, string>>, key: string): string => list[key] ?? key

export const madeSafeText = (made: readonly string[]) =>
  made.map((key) => wordsFor(reader.value.hand.made, key)).join('\n')
export const asLeftText = (left: readonly string[]) =>
  left.map((key) => wordsFor(reader.value.hand.left, key)).join('\n')

export function conditionText(condition: HandOver['condition']): string {
  const { parts, states } = reader.value.hand
  return condition
    .map(({ part, state, note }) => en.app.joined([`${wordsFor(parts, part)}: ${states[state]}`, note]))
    .join('\n')
}

/** Safety findings of this job or left earlier that are not repaired; without a safety item: not accepted. */
export function openFindings(row: Stop): Finding[] {
  const { job } = aboutStop(row)
  if (!job || row.kind === 'pickup') return []
  return [...findingsOf(job.id), ...declinedBefore(job)].filter(({ id, rank, decided }) => {
    const items = safetyItemsOf(id)
    return items.length
      ? items.some(({ repaired }) => !repaired)
      : rank === 'safety' && decided !== 'accepted'
  })
}

/** The amount due when a machine is returned, by the accepted lines; null: nothing was decided. */
export function dueAt(row: Stop): number | null {
  if (row.kind === 'pickup' || row.job_id === null || !hasDecided(row.job_id)) return null
  return agreed(row.job_id, Date.now())?.total ?? null
}

/** The hand-over as the command takes it. */
export function handedOver(row: Stop, fields: HandOverDraft): HandOverInput {
  const hours = typedFormat.value.readNumber(fields.hours)
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
    language: readerLanguage.value,
    signer_name: signs ? fields.name.trim() : '',
    ink: signs ? { strokes: fields.strokes, ...fields.box } : null,
  }
}
