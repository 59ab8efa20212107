import { named } from '../named.ts'

/** Words of requests to a customer and of what the customer asks, as lists show them. */
export const requests = {
  requests: 'Asked by link',
  channel: /* @__PURE__ */ named({ email: 'E-mail', sms: 'Text message', qr: 'Code to scan' }),
  standing: {
    waiting: 'Waits for a signal: the server makes the link',
    made: 'Not opened yet',
    opened: (when: string) => `Opened ${when}`,
    answered: (when: string) => `Answered ${when}`,
    back: 'Taken back',
    over: 'Does not ask any more',
  },
  questions: 'Asked by the customer',
  question: (name: string, words: string) => (name ? `${name}: “${words}”` : `“${words}”`),
  called: 'I have called',
  answered: 'Question answered',
  callCustomer: (phone: string) => `Call ${phone}`,
}
