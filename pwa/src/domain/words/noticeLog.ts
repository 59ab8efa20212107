import { named } from '../named.ts'
import { due } from './followUps'

// Words of messages to customers and members.

export const log = {
  hello: due.hello,
  notSent: due.notSent,
  noted: due.noted,
  title: 'Messages',
  none: 'No message yet',
  text: 'Text message from this phone',
  mail: 'Mail from this phone',
  didYou: 'Did you send it?',
  sentIt: 'I sent it',
  again: 'Send again',
  sendNow: 'Send now',
  goesAgain: 'It goes out with the next signal',
  online: 'No signal. The link in this message comes with one: press again then.',
  fetching: 'Fetching its link',
  linkName: '(link)',
  channels: /* @__PURE__ */ named({
    email: 'Mail',
    sms: 'Text message',
    by_hand: 'By hand',
    push: 'On a phone',
  }),
  states: /* @__PURE__ */ named({
    waiting: 'Waits to go out',
    sending: 'Going out now',
    sent: 'Sent',
    refused: 'Not delivered',
    unknown: 'May or may not have gone out',
    by_hand: 'Yours to send',
    withheld: 'Not sent',
  }),
  until: (when: string) => `Goes out at ${when}`,
  machineReady: (shop: string, machine: string) => `${shop}: your ${machine} is ready to go back to you.`,
}

export const wants = {
  title: 'Messages to this customer',
  sms: 'No text messages',
  email: 'No mail',
  saved: 'Noted',
}
