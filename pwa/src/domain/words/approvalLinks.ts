import { named } from '../named.ts'

/** Words of requests to a customer and of what the customer asks, as lists show them. */
export const requests = {
  requests: 'Requests by link',
  channel: /* @__PURE__ */ named({ email: 'Email', sms: 'Text message', qr: 'Code to scan' }),
  statuses: {
    waiting: 'Waiting for signal to create the link',
    made: 'Not opened yet',
    opened: (when: string) => `Opened ${when}`,
    answered: (when: string) => `Answered ${when}`,
    back: 'Withdrawn',
    over: 'Closed',
  },
  questions: 'Customer’s questions',
  question: (name: string, words: string) => (name ? `${name}: “${words}”` : `“${words}”`),
  called: 'I called them',
  answered: 'Question answered',
  callCustomer: (phone: string) => `Call ${phone}`,
}
