import type { FollowUpKind } from '../contract.ts'
import { named } from '../named.ts'

/** Words of follow-ups that are due. */
export const due = {
  title: 'Follow-ups',
  kinds: /* @__PURE__ */ named({
    quote_unanswered: 'no answer to the quote',
    quote_lapsing: 'quote runs out',
    clock_running: 'clock still running',
    promised_near: 'promised, not ready',
    job_still: 'nothing has moved',
    check_in: 'ask how it runs',
    safety_declined: 'safety work declined',
    service_due: 'offer a service',
  } as Record<FollowUpKind, string>),
  call: 'Call',
  write: 'Message',
  later: 'In a week',
  drop: 'Drop',
  didYou: 'Sent?',
  sentIt: 'Yes, sent',
  putOff: (day: string) => `Put off until ${day}`,
  dropped: 'Dropped; it does not come again',
  hello: (shop: string) => `${shop}: `,
  notSent: 'Not sent',
  noted: 'Noted as sent',
}
