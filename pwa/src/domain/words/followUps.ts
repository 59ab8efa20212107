import type { FollowUpKind } from '../contract.ts'
import { named } from '../named.ts'

/** Each kind of follow-up: as it stands on Today, and as the days before it are asked for. */
const KINDS = {
  quote_unanswered: ['no answer to the quote', 'After a quote with no answer'],
  quote_lapsing: ['quote expires soon', 'Before a quote expires'],
  clock_running: ['clock still running'],
  promised_near: ['promised, not ready', 'Before the promised day'],
  job_still: ['no progress', 'When a job hasn’t moved'],
  check_in: ['ask how it’s running', 'After a machine went back'],
  safety_declined: ['safety repair declined', 'After safety work was declined'],
  service_due: ['offer a service', 'Since the last service'],
  next_service: ['service due', 'Before a service is due'],
  order_overdue: ['order overdue', 'After an order should be here'],
  promise_at_risk: ['promise at risk', 'Before a promised day its parts may miss'],
  payment_late: ['payment late'],
} as const satisfies Record<FollowUpKind, readonly [due: string, days?: string]>

const tabled = (at: 0 | 1) =>
  Object.fromEntries(Object.entries(KINDS).flatMap(([kind, words]) => (words[at] ? [[kind, words[at]]] : [])))

/** The labels of the days of each kind; a running clock has hours instead. */
export const followUpDays = tabled(1) as Record<
  Exclude<FollowUpKind, 'clock_running' | 'payment_late'>,
  string
>

/** Words of follow-ups that are due. */
export const due = {
  title: 'Follow-ups',
  kinds: /* @__PURE__ */ named(tabled(0) as Record<FollowUpKind, string>),
  call: 'Call',
  write: 'Message',
  later: 'Remind me in a week',
  drop: 'Dismiss',
  didYou: 'Sent?',
  sentIt: 'Yes, sent',
  putOff: (day: string) => `Postponed until ${day}`,
  dropped: 'Dismissed; it won’t come back',
  hello: (shop: string) => `${shop}: `,
  notSent: 'Not sent',
  noted: 'Noted as sent',
}
