// Words of follow-ups and of messages to owners and members.

export { settings, words } from './words.wordings'

export const due = {
  title: (count: number) => `To come back to · ${count}`,
  call: 'Call',
  write: 'Message',
  later: 'In a week',
  drop: 'Drop',
  didYou: 'Sent?',
  sentIt: 'Yes, sent',
  putOff: (day: string) => `Put off until ${day}`,
  dropped: 'Dropped; it does not come again',
}

export const log = {
  title: 'Messages',
  none: 'No message yet',
  text: 'Text message from this phone',
  mail: 'Mail from this phone',
  didYou: 'Did you send it?',
  sentIt: 'I sent it',
  notSent: 'Not sent',
  noted: 'Noted as sent',
  again: 'Send again',
  sendNow: 'Send now',
  goesAgain: 'It goes out with the next signal',
  online: 'No signal. The link in this message comes with one: press again then.',
  fetching: 'Fetching its link',
  channels: { email: 'Mail', sms: 'Text message', by_hand: 'By hand', push: 'On a phone' },
  states: {
    waiting: 'Waits to go out',
    sending: 'Going out now',
    sent: 'Sent',
    refused: 'Not delivered',
    unknown: 'May or may not have gone out',
    by_hand: 'Yours to send',
    withheld: 'Not sent',
  },
  until: (when: string) => `Goes out at ${when}`,
  machineReady: (shop: string, machine: string) => `${shop}: your ${machine} is ready to go back to you.`,
  hello: (shop: string) => `${shop}: `,
}

export const wants = {
  title: 'Messages to this owner',
  sms: 'No text messages',
  email: 'No mail',
  takesSms: 'Takes text messages again',
  takesEmail: 'Takes mail again',
  saved: 'Noted',
}
