/** Words of telling a customer when, and of a stop that came to nothing; they come with those screens. */
export const onWay = {
  title: 'On my way',
  hint: 'This is a promise: plans will keep to it.',
  from: 'From',
  to: 'To',
  byHand: 'I told them',
  byHandHint: 'By phone or at the door',
  sms: 'Write it in Messages',
  smsHint: 'Opens your own messages with the text',
  send: {
    sms: 'Send it as a text message',
    email: 'Send it by mail',
  },
  sendHint: 'The shop sends it, as soon as there is a signal',
  text: (shop: string, from: string, to: string) =>
    `${shop}: we are on our way to you and expect to be there between ${from} and ${to}.`,
  over: 'This time is over; say until when you will be there',
  missing: 'Give both times',
  saved: 'Saved',
}

export const fail = {
  title: 'It came to nothing',
  why: 'Why',
  note: 'More about it',
  missing: 'Pick why',
  again: 'And now',
  againYes: 'It waits to be planned again',
  againNo: 'It is not needed any more',
  save: 'Save and go on',
  saved: 'Noted',
}
