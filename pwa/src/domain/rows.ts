import type { Customer, Machine, MeterReading, Site } from './rows.customers'
import type { HandOver, Rig, Run, Stop, Yard } from './rows.dispatch'
import type { Kept } from './rows.kept'
import type { FollowUp, Notice, NoticeTemplate, OptOut, Printout } from './rows.notices'
import type { PlanRequest } from './rows.plan'
import type { Approval, ApprovalLink, OwnerQuestion, Quote, QuoteLine, Signature } from './rows.quote'
import type { Member, Shop } from './rows.shop'
import type { TimeEntry, WorkHistory } from './rows.time'
import type { Attachment, Complaint, Finding, Job } from './rows.work'

/** Rows as the server sends them: the kinds of pull, snapshot and REST, one file a noun. */
export type * from './rows.customers'
export type * from './rows.dispatch'
export type * from './rows.notices'
export type * from './rows.plan'
export type * from './rows.quote'
export type * from './rows.shop'
export type * from './rows.time'
export type * from './rows.work'

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
  printout: ['run_id', 'hand_over_id'],
  issue: [],
} as const satisfies Record<Kind, readonly string[]>

export const KINDS = Object.keys(BELONGS) as Kind[]

export function isKind(name: string): name is Kind {
  return name in BELONGS
}
