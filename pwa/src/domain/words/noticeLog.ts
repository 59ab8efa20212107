import { named } from '../named.ts'
import { due } from './followUps'

// Words of messages to customers and members.

export const log = {
  hello: due.hello,
  notSent: due.notSent,
  noted: due.noted,
  title: 'Messages',
  none: 'No messages yet',
  text: 'Text message from this phone',
  mail: 'Email from this phone',
  didYou: 'Did you send it?',
  sentIt: 'I sent it',
  again: 'Send again',
  sendNow: 'Send now',
  goesAgain: 'Will send when you have signal',
  online: 'No signal. The link needs signal; try again then.',
  fetching: 'Getting the link',
  linkName: '(link)',
  channels: /* @__PURE__ */ named({
    email: 'Email',
    sms: 'Text message',
    by_hand: 'By hand',
    push: 'Notification',
  }),
  states: /* @__PURE__ */ named({
    waiting: 'Waiting to be sent',
    sending: 'Sending',
    sent: 'Sent',
    refused: 'Not delivered',
    unknown: 'May not have been sent',
    by_hand: 'You send it',
    withheld: 'Not sent',
  }),
  until: (when: string) => `Will be sent at ${when}`,
  machineReady: (shop: string, machine: string) =>
    `${shop}: your ${machine} is ready for pickup or delivery.`,
}

export const wants = {
  title: 'Messages to this customer',
  sms: 'No text messages',
  email: 'No email',
  saved: 'Saved',
}
