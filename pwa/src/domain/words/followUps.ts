import type { FollowUpKind } from '../contract.ts'
import { named } from '../named.ts'

/** Words of follow-ups that are due. */
export const due = {
  title: 'Follow-ups',
  kinds: /* @__PURE__ */ named({
    quote_unanswered: 'no answer to the quote',
    quote_lapsing: 'quote expires soon',
    clock_running: 'clock still running',
    promised_near: 'promised, not ready',
    job_still: 'no progress',
    check_in: 'ask how it’s running',
    safety_declined: 'safety repair declined',
    service_due: 'offer a service',
  } as Record<FollowUpKind, string>),
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
