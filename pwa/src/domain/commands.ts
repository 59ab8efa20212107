import type {
  Attachment,
  Customer,
  Finding,
  How,
  Job,
  Machine,
  PriceBook,
  Quote,
  QuoteLineFields,
  Shop,
  Shown,
  Site,
  Stage,
  Strokes,
  TimeEntry,
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
  record_finding: Made<Finding, 'job_id' | 'words' | 'rank', 'consequence'>
  edit_finding: Edit<Finding, FindingFields>
  remove_finding: { id: string }
  add_attachment: Made<Attachment, 'about_kind' | 'about_id' | 'taken_at' | 'sha256' | 'bytes', 'caption'>
  edit_attachment: Edit<Attachment, AttachmentFields>
  remove_attachment: { id: string }
  start_clock: { id: string; started_at: Moment; ends_ids: string[] } & Work
  stop_clock: { id: string; ended_at: Moment }
  add_entry: { id: string; started_at: Moment; ended_at: Moment; reason: string } & Work
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
    note?: string
    signature?: { id: string; strokes: Strokes; width: number; height: number }
  }
  withdraw_quote: { id: string }
  remake_paper: { id: string }
  edit_shop: Edit<Shop, ShopFields>
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
])
