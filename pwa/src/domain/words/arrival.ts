import type { Language } from '../contract'

/** Words of telling a customer when, and of a stop that came to nothing; they come with those screens. */
export const onWay = {
  title: 'Tell them when',
  hint: 'This is a promise: plans will keep to it.',
  from: 'From',
  to: 'To',
  byHand: 'I told them',
  byHandHint: 'By phone or at the door',
  sms: 'Text from this phone',
  smsHint: 'Opens your messages app',
  send: {
    sms: 'Send a text message',
    email: 'Send an email',
  },
  sendHint: 'The shop sends it once you have signal',
  /** What the customer reads, in their language; for a stop of any kind. */
  text: {
    en: (shop, from, to) =>
      `${shop}: we are on our way to you and expect to be there between ${from} and ${to}.`,
    es: (shop, from, to) =>
      `${shop}: vamos en camino a su dirección. Hora de llegada prevista: de ${from} a ${to}.`,
  } satisfies Record<Language, (shop: string, from: string, to: string) => string>,
  over: 'That time has passed; enter a later one',
  missing: 'Enter both times',
  saved: 'Saved',
}

export const fail = {
  title: 'Stop not done',
  why: 'Why',
  note: 'Details',
  missing: 'Pick a reason',
  again: 'What next?',
  againYes: 'Plan it again',
  againNo: 'Not needed anymore',
  save: 'Save and continue',
  saved: 'Saved',
}
