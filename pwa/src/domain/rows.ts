import type { PriceBook } from './book'
import type { DecimalText } from './decimal'
import type { QuoteLine as QuoteLineFields, Rank } from './lines'
import type { Reckoning } from './reckoning'
import type { QuoteState } from './states'
import type { Day, Moment } from './time'
import type { WeekDay } from './worked'

/** Rows as the server sends them: the kinds of pull, snapshot and REST. Money is whole minor units. */
interface Kept {
  id: string
  created_at: Moment
  changed_at: Moment
}

export type Role = 'owner' | 'office' | 'mechanic'
export type Stage =
  | 'intake'
  | 'diagnosis'
  | 'repair'
  | 'proving'
  | 'ready'
  | 'returned'
  | 'closed'
  | 'cancelled'
export type Decision = 'open' | 'accepted' | 'declined'
export type How = 'glass' | 'link' | 'call' | 'in_person'
export type Waits = 'approval' | 'parts' | 'customer'

/** Ink: strokes of points x, y, ms since the first point, and pressure where the glass tells it. */
export type Strokes = (readonly [number, number, number] | readonly [number, number, number, number])[][]

export type { PriceBook, QuoteLineFields, QuoteState, Rank, Reckoning }

export interface Discount {
  percent: string | null
  minor: number | null
}

export interface Shop extends Kept {
  name: string
  address: string
  phone: string
  email: string
  currency: string
  zone: string
  units: 'us' | 'metric'
  paper: 'letter' | 'a4'
  locale: string
  /** The day on which the shop's weeks begin; hours of a week beyond the threshold earn the multiplier. */
  week_start: WeekDay
  overtime_after_hours: DecimalText
  overtime_multiplier: DecimalText
  book: PriceBook
  /** After so many hours a running clock is asked about. */
  clock_hours: number
}

export interface Member extends Kept {
  name: string
  role: Role
  may_see_cost: boolean
  active: boolean
}

export interface Customer extends Kept {
  name: string
  person: string
  phone: string
  email: string
  address: string
  notes: string
  tax_exempt: boolean
  exempt_reason: string
  archived: boolean
}

export interface Site extends Kept {
  customer_id: string
  label: string
  address: string
  lat: string | null
  lon: string | null
  access_notes: string
}

export interface Machine extends Kept {
  customer_id: string
  kind: string
  make: string
  model: string
  serial: string
  year: number | null
  engine_make: string
  engine_model: string
  engine_serial: string
  tag: string
  notes: string
  archived: boolean
}

export interface MeterReading extends Kept {
  machine_id: string
  segment: number
  hours: string
  read_on: Day
  noted_by_id: string | null
}

export interface Job extends Kept {
  number: string | null
  mark: string
  customer_id: string
  machine_id: string
  site_id: string | null
  stage: Stage
  promised_on: Day | null
  notes: string
  waits_on: readonly Waits[]
  opened_at: Moment
}

export interface Complaint extends Kept {
  job_id: string
  words: string
  happens_when: string
  taken_by_id: string | null
}

export interface Finding extends Kept {
  job_id: string
  words: string
  consequence: string
  rank: Rank
  decided: Decision
  found_by_id: string | null
}

export type TimeKind = 'repair' | 'diagnosis' | 'travel' | 'errand' | 'rework' | 'shop'
export type Cause = 'wrong_gauge' | 'wrong_part' | 'torque' | 'missed_step' | 'part_failed' | 'other'
export type TimeState = 'open' | 'closed' | 'disputed' | 'replaced'
export type Doubt = 'ends_first' | 'in_future' | 'too_long'

/** A span of one member's time. `device_…` is what the device's clock said, null where it was written by hand. */
export interface TimeEntry extends Kept {
  member_id: string
  device_id: string | null
  job_id: string | null
  kind: TimeKind
  operation: string
  line_id: string | null
  started_at: Moment
  ended_at: Moment | null
  device_started_at: Moment | null
  device_ended_at: Moment | null
  start_skew_ms: number
  end_skew_ms: number
  state: TimeState
  doubt: Doubt | ''
  corrects_id: string | null
  reason: string
  cause: Cause | ''
  repairs_id: string | null
}

export interface Paper {
  state: 'none' | 'waiting' | 'ready' | 'failed'
  reason: string | null
  url: string | null
  bytes: number | null
}

/** The names as the owner read them, kept with the offer. */
export interface Shown {
  shop: string
  customer: string
  machine: string
  exempt: boolean
}

export interface Quote extends Kept {
  job_id: string
  number: string | null
  mark: string
  kind: 'first' | 'added'
  revision: number
  replaces_id: string | null
  state: QuoteState
  basis: PriceBook
  discount: Discount
  note: string
  valid_until: Day | null
  offered_at: Moment | null
  offer_digest: string | null
  shown: Shown | null
  totals: Reckoning | null
  paper: Paper
}

export type QuoteLine = Kept & {
  quote_id: string
  finding_id: string | null
  decided: Decision
} & QuoteLineFields

export interface Approval extends Kept {
  quote_id: string
  revision: number
  how: How
  decided_by_name: string
  decided_at: Moment
  zone: string
  received_at: Moment | null
  digest: string
  matches: boolean
  accepted_ids: readonly string[]
  declined_ids: readonly string[]
  accepted_total_minor: number | null
  note: string
  signature_id: string | null
  member_id: string | null
  device_id: string | null
}

export interface Signature extends Kept {
  strokes: Strokes
  width: number
  height: number
  signer_name: string
  digest: string
}

/** What pictures are taken of. */
export type About = 'finding' | 'machine' | 'job' | 'stop' | 'part'

/** A picture. `sha256` and `bytes` are of what the phone sends, `width` and `height` of what is made of it. */
export interface Attachment extends Kept {
  about_kind: About
  about_id: string
  caption: string
  taken_at: Moment
  sha256: string
  bytes: number
  state: 'waiting' | 'received' | 'ready' | 'refused'
  reason: string
  width: number | null
  height: number | null
  added_by_id: string | null
}

export interface Issue extends Kept {
  kind: 'conflict' | 'held'
  command_id: string | null
  name: string
  /** A kind of row, or `command` where the command itself is what must be looked at. */
  entity_kind: string
  entity_id: string | null
  theirs: Readonly<Record<string, unknown>>
  ours: Readonly<Record<string, unknown>>
  words: string
  state: 'open' | 'resolved'
  choice: '' | 'theirs' | 'ours'
  member_id: string | null
}

/** What one work took on one kind of machine: minutes of its latest finished jobs, shortest first. */
export interface WorkHistory extends Kept {
  operation: string
  machine_kind: string
  minutes: number[]
  reworked: number
}

export interface Rows {
  shop: Shop
  member: Member
  customer: Customer
  site: Site
  machine: Machine
  meter_reading: MeterReading
  job: Job
  complaint: Complaint
  finding: Finding
  time_entry: TimeEntry
  attachment: Attachment
  work_history: WorkHistory
  quote: Quote
  quote_line: QuoteLine
  approval: Approval
  signature: Signature
  issue: Issue
}

export type Kind = keyof Rows
export type Row = Rows[Kind]

/** Each kind with the fields that say which row it belongs to; rows can be asked for by them. */
export const BELONGS = {
  shop: [],
  member: [],
  customer: [],
  site: ['customer_id'],
  machine: ['customer_id'],
  meter_reading: ['machine_id'],
  job: ['customer_id', 'machine_id'],
  complaint: ['job_id'],
  finding: ['job_id'],
  time_entry: ['job_id', 'member_id'],
  attachment: ['about_id'],
  work_history: ['operation'],
  quote: ['job_id'],
  quote_line: ['quote_id'],
  approval: ['quote_id'],
  signature: [],
  issue: [],
} as const satisfies Record<Kind, readonly string[]>

export const KINDS = Object.keys(BELONGS) as Kind[]

export function isKind(name: string): name is Kind {
  return name in BELONGS
}
