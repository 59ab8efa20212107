import type { Kept } from './rows.kept'
import type { Day, Moment } from './time'

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

/** Paper that was asked for: a run's sheet, tags for machines, or a signed hand-over. */
export interface Printout extends Kept {
  kind: 'run' | 'tags' | 'hand_over'
  run_id: string | null
  hand_over_id: string | null
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
