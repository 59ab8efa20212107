import type {
  Attachment,
  Channel,
  ConditionItem,
  Customer,
  Failure,
  Finding,
  Fuel,
  How,
  Job,
  Machine,
  Notice,
  PriceBook,
  Quote,
  QuoteLineFields,
  Rig,
  Shop,
  Shown,
  Site,
  Stage,
  Stop,
  Strokes,
  TimeEntry,
  Yard,
} from './rows'
import type { Day, Moment } from './time'

/** A change of some fields: what the person saw in them, and what they are to be. */
export interface Edit<Row, Fields extends keyof Row> {
  id: string
  base: Partial<Pick<Row, Fields>>
  set: Partial<Pick<Row, Fields>>
}

export type CustomerFields =
  | 'name'
  | 'person'
  | 'phone'
  | 'email'
  | 'address'
  | 'notes'
  | 'tax_exempt'
  | 'exempt_reason'
export type SiteFields = 'label' | 'address' | 'lat' | 'lon' | 'access_notes'
export type MachineFields =
  | 'kind'
  | 'make'
  | 'model'
  | 'serial'
  | 'year'
  | 'engine_make'
  | 'engine_model'
  | 'engine_serial'
  | 'notes'
  | 'mass_kg'
  | 'length_cm'
  | 'width_cm'
  | 'height_cm'
  | 'wheelbase_cm'
  | 'clearance_cm'
  | 'tie_points'
export type JobFields = 'site_id' | 'promised_on' | 'notes'
export type FindingFields = 'words' | 'consequence' | 'rank'
export type AttachmentFields = 'caption'
export type QuoteFields = 'note' | 'discount' | 'valid_until'
export type ShopFields =
  | 'name'
  | 'address'
  | 'phone'
  | 'email'
  | 'zone'
  | 'units'
  | 'paper'
  | 'locale'
  | 'week_start'
  | 'overtime_after_hours'
  | 'overtime_multiplier'
  | 'book'
  | 'clock_hours'
  | 'quiet_from'
  | 'quiet_until'
  | 'follow_ups'

export type YardFields = Exclude<keyof Yard, 'id' | 'created_at' | 'changed_at' | 'learned'>
export type RigFields = Exclude<keyof Rig, 'id' | 'created_at' | 'changed_at' | 'out_at' | 'out_note'>
export type StopFields =
  | 'site_id'
  | 'lat'
  | 'lon'
  | 'place'
  | 'windows'
  | 'service_minutes'
  | 'needs'
  | 'priority'
  | 'earliest_on'
  | 'promised_on'
  | 'wait_until'
  | 'by_daylight'
  | 'notes'

/** When a run left or is home; `clock_id` is the travel clock that begins or ends with it. */
interface Stamp {
  id: string
  at: Moment
  clock_id: string | null
}

type Made<Row, Must extends keyof Row, May extends keyof Row> = { id: string } & Pick<Row, Must> &
  Partial<Pick<Row, May>>

/** What clocked time was for. */
export interface Work {
  kind: TimeEntry['kind']
  job_id: string | null
  operation: string
  line_id: string | null
  cause: Exclude<TimeEntry['cause'], ''> | null
  repairs_id: string | null
}

/** What each command carries. Every `id` is minted on the phone and is the id of the row it makes. */
export interface Commands {
  add_customer: Made<Customer, 'name', Exclude<CustomerFields, 'name'>>
  edit_customer: Edit<Customer, CustomerFields>
  remove_customer: { id: string }
  add_site: Made<Site, 'customer_id' | 'label', Exclude<SiteFields, 'label'>>
  edit_site: Edit<Site, SiteFields>
  remove_site: { id: string }
  add_machine: Made<Machine, 'customer_id' | 'kind', Exclude<MachineFields, 'kind'>>
  edit_machine: Edit<Machine, MachineFields>
  remove_machine: { id: string }
  record_meter: { id: string; machine_id: string; hours: string; read_on: Day; new_segment?: boolean }
  open_job: {
    id: string
    customer_id: string
    machine_id: string
    site_id?: string | null
    promised_on?: Day | null
    notes?: string
    mark: string
  }
  edit_job: Edit<Job, JobFields>
  move_job: { id: string; stage: Stage }
  add_complaint: { id: string; job_id: string; words: string; happens_when?: string }
  record_finding: Made<Finding, 'job_id' | 'words' | 'rank', 'consequence' | 'again_of_id'>
  edit_finding: Edit<Finding, FindingFields>
  remove_finding: { id: string }
  add_attachment: Made<Attachment, 'about_kind' | 'about_id' | 'taken_at' | 'sha256' | 'bytes', 'caption'>
  edit_attachment: Edit<Attachment, AttachmentFields>
  remove_attachment: { id: string }
  start_clock: { id: string; started_at: Moment; ends_ids: string[] } & Work
  stop_clock: { id: string; ended_at: Moment }
  /** Without `member_id` it is one's own. */
  add_entry: {
    id: string
    member_id?: string
    started_at: Moment
    ended_at: Moment
    reason: string
  } & Work
  correct_entry: {
    id: string
    entry_id: string
    started_at: Moment
    ended_at: Moment | null
    reason: string
  } & Work
  drop_entry: { id: string; reason: string }
  settle_entries: {
    id: string
    other_id?: string
    split?: { at: Moment; id: string; other_id: string }
    reason?: string
  }
  draft_quote: {
    id: string
    job_id: string
    kind: Quote['kind']
    mark: string
    basis: PriceBook
    note?: string
    replaces_id?: string
  }
  edit_quote: Edit<Quote, QuoteFields>
  put_quote_line: { quote_id: string; finding_id?: string | null } & QuoteLineFields
  remove_quote_line: { id: string }
  offer_quote: { id: string; valid_until: Day; digest: string; total_minor: number; shown: Shown }
  decide_quote: {
    id: string
    quote_id: string
    revision: number
    how: How
    decided_by_name: string
    decided_at: Moment
    zone: string
    digest: string
    accepted_ids: string[]
    declined_ids: string[]
    number_called?: string
    conditions?: string
    note?: string
    signature?: { id: string; strokes: Strokes; width: number; height: number }
  }
  withdraw_quote: { id: string }
  remake_paper: { id: string }
  send_approval_request: { id: string; quote_id: string; channel: Channel; address?: string; name?: string }
  revoke_approval_link: { id: string }
  answer_owner_question: { id: string }
  edit_shop: Edit<Shop, ShopFields>
  set_up_yard: Made<Yard, never, YardFields>
  edit_yard: Edit<Yard, YardFields>
  add_rig: Made<Rig, 'name' | 'payload_kg', Exclude<RigFields, 'name' | 'payload_kg'>>
  edit_rig: Edit<Rig, RigFields>
  /** Where it stands, if the driver says so. The rest of today is planned anew, under `plan_id` if given. */
  report_breakdown: {
    id: string
    at: Moment
    note: string
    lat?: string | null
    lon?: string | null
    place?: string
    plan_id: string | null
  }
  mend_rig: { id: string }
  /** Without a site it is at the job's. `plan_id`: it is urgent, today is planned anew. */
  ask_stop: Made<Stop, 'job_id' | 'kind', StopFields> & { plan_id: string | null }
  /** Promised for today and first in line; the rest of today is planned anew, under `plan_id` if given. */
  ask_urgent_stop: {
    id: string
    job_id: string
    kind: Stop['kind']
    site_id?: string
    notes?: string
    plan_id: string | null
  }
  edit_stop: Edit<Stop, StopFields>
  drop_stop: { id: string; reason: string }
  restore_stop: { id: string }
  pin_stop: { id: string; rig_id: string | null; at: Moment | null; after_id: string | null }
  /** Trip and place in it count from 0; without a run it is back to be planned. */
  move_stop: { id: string; run_id: string | null; trip: number; position: number }
  tell_arrival: {
    id: string
    opens: Moment
    closes: Moment
    channel: 'email' | 'sms' | 'by_hand'
    notice_id: string | null
  }
  open_run: { id: string; rig_id: string; day: Day }
  lock_run: { id: string }
  unlock_run: { id: string }
  cancel_run: { id: string }
  start_run: Stamp
  end_run: Stamp
  arrive_stop: Stamp & { run_id: string | null }
  leave_stop: Stamp
  /** A stamp pressed by mistake. */
  take_back_stamp: { id: string; stamp: 'arrived' | 'left' | 'failed' }
  /** `again_id`: the stop that asks for it once more. `plan_id`: the rest of today is planned anew. */
  fail_stop: {
    id: string
    at: Moment
    reason: Failure
    note: string
    again_id: string | null
    plan_id: string | null
  }
  hand_over: {
    id: string
    stop_id: string
    at: Moment
    condition: ConditionItem[]
    meter: { id: string; hours: string; new_segment: boolean } | null
    keys: string
    fuel: Fuel
    accessories: string
    runs: boolean | null
    made_safe: string[]
    as_left: string[]
    acknowledged: string[]
    amount_due_minor: number | null
    signer_name: string
    /** Of all of the above as canonical JSON; the ink is put under exactly that. */
    digest: string | null
    signature: { id: string; strokes: Strokes; width: number; height: number } | null
  }
  request_plan: { id: string; days: Day[]; seed: number; seconds: number; from_now: boolean }
  cancel_plan: { id: string }
  take_plan: { id: string }
  put_off_follow_up: { id: string; until: Day }
  drop_follow_up: { id: string }
  take_up_follow_up: { id: string }
  /** A message sent from the phone's own program. */
  record_message: { id: string; sent_at: Moment } & Pick<
    Notice,
    'address' | 'name' | 'template' | 'subject' | 'body' | 'about_kind' | 'about_id'
  >
  note_sent_by_hand: { id: string; sent_at: Moment }
  send_again: { id: string }
  put_notice_template: {
    id: string
    key: string
    channel: 'email' | 'sms' | 'push'
    subject: string
    body: string
  }
  drop_notice_template: { id: string }
  opt_out: { id: string; channel: 'email' | 'sms'; address: string; reason?: string }
  opt_in: { id: string }
  turn_on_push: { id: string; endpoint: string; p256dh: string; auth: string }
  turn_off_push: { id: string }
  print_run: { id: string; run_id: string }
  print_hand_over: { id: string; hand_over_id: string }
  print_tags: { id: string; machine_ids: string[] }
  settle_issue: { id: string; choice: 'theirs' | 'ours' }
}

export type CommandName = keyof Commands

/** A command of any name with the arguments of that name. */
export type Command = { [Name in CommandName]: { name: Name; args: Commands[Name] } }[CommandName]

/** What has happened in the world: the server applies or holds it, it never refuses. */
export const FACTS: ReadonlySet<CommandName> = new Set<CommandName>([
  'record_meter',
  'add_complaint',
  'record_finding',
  'add_attachment',
  'start_clock',
  'stop_clock',
  'decide_quote',
  'report_breakdown',
  'start_run',
  'end_run',
  'arrive_stop',
  'leave_stop',
  'fail_stop',
  'hand_over',
  'record_message',
  'note_sent_by_hand',
])
