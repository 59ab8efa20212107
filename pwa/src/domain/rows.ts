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
  /** Mail and text messages wait from the one until the other, HH:MM on the shop's clock. */
  quiet_from: string
  quiet_until: string
  follow_ups: FollowUpDays
}

/** After, or before, how many days the shop wants to be told; null: not at all. */
export interface FollowUpDays {
  quote_unanswered: number | null
  quote_lapsing: number | null
  promised_near: number | null
  job_still: number | null
  check_in: number | null
  safety_declined: number | null
  service_due: number | null
  clock_running: boolean
  ask_owner: boolean
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
  /** Its size as it is carried; null where nobody has entered it. */
  mass_kg: number | null
  length_cm: number | null
  width_cm: number | null
  height_cm: number | null
  wheelbase_cm: number | null
  clearance_cm: number | null
  tie_points: number | null
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
  /** A finding of an earlier visit, declined then, that this one takes up again. */
  again_of_id: string | null
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
  accepted_labor_minor: number | null
  accepted_parts_minor: number | null
  number_called: string
  conditions: string
  note: string
  signature_id: string | null
  member_id: string | null
  device_id: string | null
  link_id: string | null
}

export type Channel = 'email' | 'sms' | 'qr'

/** A request to an owner about one revision. A mail scanner opens links too: `opened_count` says nothing of who. */
export interface ApprovalLink extends Kept {
  quote_id: string
  revision: number
  channel: Channel
  address: string
  name: string
  expires_at: Moment
  opened_count: number
  opened_at: Moment | null
  used_at: Moment | null
  revoked_at: Moment | null
  created_by_id: string | null
}

/** What an owner asked back; `answered_at` once somebody has called. */
export interface OwnerQuestion extends Kept {
  quote_id: string
  link_id: string
  name: string
  words: string
  asked_at: Moment
  answered_at: Moment | null
  answered_by_id: string | null
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

/** A time of the day in the shop's zone, as in "07:30". */
export type ClockTime = string

/** What the shop's own days say: minutes at a stop, and driven legs beside the rule in parts of a thousand. */
export interface Learned {
  pickup_minutes: number | null
  pickup_count: number
  return_minutes: number | null
  return_count: number
  visit_minutes: number | null
  visit_count: number
  drive_permille: number | null
  drive_low_permille: number | null
  drive_high_permille: number | null
  drive_count: number
}

/** Where runs begin and end, and how the shop drives and works. One a shop. */
export interface Yard extends Kept {
  lat: string | null
  lon: string | null
  opens: ClockTime
  closes: ClockTime
  loading_minutes: number
  pickup_minutes: number
  return_minutes: number
  visit_minutes: number
  speed_kmh: number | null
  trailer_percent: number
  turn_in_minutes: number
  tongue_low_permille: number
  tongue_high_permille: number
  least_tie_downs: number
  learned: Learned
}

export interface Deck {
  length_cm: number | null
  width_cm: number | null
  height_cm: number | null
  slots: number
  lanes: number
}

export interface Trailer {
  empty_kg: number | null
  tongue_kg: number | null
  axle_cm: number | null
  deck_cm: number | null
  axles: number
  track_cm: number | null
  gvwr_kg: number | null
  gawr_kg: number | null
  tires_kg: number | null
  coupler_kg: number | null
}

export interface Truck {
  ready_kg: number | null
  gvwr_kg: number | null
  gcwr_kg: number | null
  hitch_kg: number | null
  hitch_tongue_kg: number | null
  ball_kg: number | null
  rear_ready_kg: number | null
  rear_gawr_kg: number | null
  wheelbase_cm: number | null
  overhang_cm: number | null
}

export interface Rest {
  opens: ClockTime
  closes: ClockTime
  minutes: number
}

/** A truck with its trailer. `out_at`: broken down since then. */
export interface Rig extends Kept {
  name: string
  driver_id: string | null
  crew: number
  payload_kg: number
  deck: Deck
  trailer: Trailer | null
  truck: Truck | null
  winch: boolean
  ramp_length_cm: number | null
  ramp_full_width: boolean
  straps: number | null
  home_lat: string | null
  home_lon: string | null
  shift_opens: ClockTime
  shift_closes: ClockTime
  breaks: readonly Rest[]
  active: boolean
  out_at: Moment | null
  out_note: string
}

export type RunState = 'planned' | 'locked' | 'driving' | 'done' | 'cancelled'
export type StopState = 'asked' | 'planned' | 'driving' | 'arrived' | 'left' | 'failed' | 'dropped'
export type PlanState = 'waiting' | 'running' | 'done' | 'failed' | 'cancelled'
export type StopKind = 'pickup' | 'return' | 'visit'
export type Need = 'winch' | 'ramp' | 'two_people'
export type Priority = 'usual' | 'soon' | 'first'
export type Failure = 'nobody_home' | 'gate_locked' | 'too_wet' | 'machine_not_ready' | 'other'
export type Fuel = 'unknown' | 'empty' | 'low' | 'half' | 'full' | 'electric'

export interface StopWindow {
  opens: Moment
  closes: Moment
}

/** A pickup, a return or a visit. Told times are promises; `again_of_id` is the stop that came to nothing before. */
export interface Stop extends Kept {
  job_id: string
  kind: StopKind
  site_id: string
  windows: readonly StopWindow[]
  service_minutes: number | null
  needs: readonly Need[]
  priority: Priority
  earliest_on: Day | null
  promised_on: Day | null
  wait_until: Day | null
  by_daylight: boolean
  notes: string
  pin_rig_id: string | null
  pin_at: Moment | null
  pin_after_id: string | null
  state: StopState
  run_id: string | null
  /** Both count from 0 within the run. */
  trip: number
  position: number
  arrives_from: Moment | null
  arrives_at: Moment | null
  arrives_to: Moment | null
  leaves_at: Moment | null
  told_from: Moment | null
  told_to: Moment | null
  told_at: Moment | null
  arrived_at: Moment | null
  left_at: Moment | null
  failure: Failure | ''
  failure_note: string
  failed_at: Moment | null
  again_of_id: string | null
}

export interface Caution {
  code: string
  words: string
  stop_id: string | null
}

/** What is left to one rating on one leg of a trip; leg 0 leaves the yard. */
export interface Margin {
  trip: number
  leg: number
  rating: string
  limit_kg: number
  load_kg: number
  left_kg: number
}

/** The deck on one leg of a trip, drawn to scale. */
export interface DrawnDeck {
  trip: number
  leg: number
  words: string
  svg: string
  gross_kg: number | null
  tongue_kg: number | null
  tongue_permille: number | null
  tie_downs: number
}

/** One outing of a rig on a day; its stops name it. */
export interface Run extends Kept {
  rig_id: string
  driver_id: string | null
  day: Day
  state: RunState
  leaves_at: Moment | null
  home_at: Moment | null
  started_at: Moment | null
  ended_at: Moment | null
  metres: number | null
  drive_seconds: number | null
  cautions: readonly Caution[]
  margins: readonly Margin[]
  decks: readonly DrawnDeck[]
  plan_id: string | null
}

export interface ConditionItem {
  part: string
  state: 'good' | 'worn' | 'damaged' | 'missing'
  note: string
}

/** A machine that changed hands, as both looked at it. */
export interface HandOver extends Kept {
  stop_id: string
  job_id: string
  kind: StopKind
  at: Moment
  member_id: string | null
  condition: readonly ConditionItem[]
  reading_id: string | null
  meter_doubt: '' | 'lower' | 'too_fast'
  keys: string
  fuel: Fuel
  accessories: string
  runs: boolean | null
  made_safe: readonly string[]
  as_left: readonly string[]
  acknowledged: readonly string[]
  amount_due_minor: number | null
  signer_name: string
  digest: string | null
  matches: boolean | null
  signature_id: string | null
}

export interface PlannedStop {
  stop_id: string
  trip: number
  position: number
  arrives_from: Moment
  arrives_at: Moment
  arrives_to: Moment
  starts_at: Moment
  leaves_at: Moment
}

export interface PlannedRun {
  run_id: string
  rig_id: string
  day: Day
  leaves_at: Moment
  home_at: Moment
  metres: number
  drive_seconds: number
  stops: readonly PlannedStop[]
  cautions: readonly Caution[]
  margins: readonly Margin[]
  decks: readonly DrawnDeck[]
}

/** A plan that passed the check. `proven`: no better one exists. */
export interface PlanAnswer {
  runs: readonly PlannedRun[]
  left_out: readonly { stop_id: string; code: string; words: string }[]
  metres: number
  proven: boolean
  complete: boolean
  roads: 'rule' | 'service' | 'fallback'
  words: readonly string[]
}

/** A planning as it goes: parts of a thousand done, then its answer, or why there is none. */
export interface PlanRequest extends Kept {
  asked_by_id: string | null
  days: readonly Day[]
  seed: number
  seconds: number
  rounds: number | null
  from_now: boolean
  cause: 'asked' | 'no_show' | 'breakdown' | 'urgent'
  state: PlanState
  permille: number
  answer: PlanAnswer | null
  error: string
  taken_at: Moment | null
}

export type NoticeState = 'waiting' | 'sending' | 'sent' | 'refused' | 'unknown' | 'by_hand' | 'withheld'

/** One message to one person over one channel. With `has_link` its whole text is to be had with a signal alone. */
export interface Notice extends Kept {
  channel: 'email' | 'sms' | 'by_hand' | 'push'
  address: string
  name: string
  template: string
  subject: string
  body: string
  has_link: boolean
  about_kind: string
  about_id: string
  state: NoticeState
  reason: string
  tries: number
  not_before: Moment
  sent_at: Moment | null
  member_id: string | null
}

/** The shop's own words for one kind of message over one channel. */
export interface NoticeTemplate extends Kept {
  key: string
  channel: string
  subject: string
  body: string
}

export interface OptOut extends Kept {
  channel: string
  address: string
  reason: string
  member_id: string | null
}

/** Paper that was asked for: a run's sheet, or tags for machines. */
export interface Printout extends Kept {
  kind: 'run' | 'tags'
  run_id: string | null
  machine_ids: readonly string[]
  state: 'waiting' | 'ready' | 'failed'
  reason: string
}

/** Something to come back to from a day on, made by the server; `until` puts it off. */
export interface FollowUp extends Kept {
  kind: FollowUpKind
  about_kind: string
  about_id: string
  job_id: string | null
  customer_id: string | null
  member_id: string | null
  due_on: Day
  until: Day | null
  why: string
  state: 'open' | 'done' | 'dropped'
}

export type FollowUpKind =
  | 'quote_unanswered'
  | 'quote_lapsing'
  | 'clock_running'
  | 'promised_near'
  | 'job_still'
  | 'check_in'
  | 'safety_declined'
  | 'service_due'

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
  approval_link: ApprovalLink
  owner_question: OwnerQuestion
  signature: Signature
  yard: Yard
  rig: Rig
  run: Run
  stop: Stop
  hand_over: HandOver
  plan_request: PlanRequest
  follow_up: FollowUp
  notice: Notice
  notice_template: NoticeTemplate
  opt_out: OptOut
  printout: Printout
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
  finding: ['job_id', 'again_of_id'],
  time_entry: ['job_id', 'member_id'],
  attachment: ['about_id'],
  work_history: ['operation'],
  quote: ['job_id'],
  quote_line: ['quote_id'],
  approval: ['quote_id'],
  approval_link: ['quote_id'],
  owner_question: ['quote_id'],
  signature: [],
  yard: [],
  rig: [],
  run: ['rig_id', 'day'],
  stop: ['job_id', 'run_id'],
  hand_over: ['stop_id', 'job_id'],
  plan_request: [],
  follow_up: ['job_id', 'customer_id'],
  notice: ['about_id'],
  notice_template: [],
  opt_out: [],
  printout: ['run_id'],
  issue: [],
} as const satisfies Record<Kind, readonly string[]>

export const KINDS = Object.keys(BELONGS) as Kind[]

export function isKind(name: string): name is Kind {
  return name in BELONGS
}
