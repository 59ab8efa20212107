import type { Language } from '../contract'
import { named } from '../named.ts'
import { counted } from './plural'

/** Storage of a machine and trips, as members read them. */
export const storage = {
  title: 'Storage',
  runs: (since: string, days: number, amount: string) =>
    `Storage runs since ${since}: ${counted(days, 'day', 'days')}, ${amount}`,
  free: (through: string) => `Storage is free through ${through}`,
  billed: (amount: string) => `Storage is billed: ${amount}`,
  because: (day: string, how: string, address: string) =>
    `Because of the notice of ${day}, ${how} to ${address}.`,
  paused: 'Not counted: from when it was worked on again until the customer was told again.',
  again: (count: number) => `Told again ${counted(count, 'time', 'times')} after that.`,
  terms: (free: number, rate: string) => `${counted(free, 'day', 'days')} free, then ${rate} a day`,
  most: (amount: string) => `at most ${amount}`,
  notNotified: 'No notice was sent: nothing can be charged',
  notNotifiedHint: 'Days count from a message that it’s ready. Send it below.',
  notTold: 'Not told at intake: nothing can be charged',
  dayUnknown: 'No return is recorded, so the days can’t be counted',
  localRules: 'Check your local rules before you charge it.',
  how: /* @__PURE__ */ named({
    email: 'by email',
    sms: 'by text message',
    by_hand: 'by message',
    push: 'by notification',
  }),

  // On a draft.
  notOnIt: 'Not on this bill',
  add: (amount: string) => `Add storage, ${amount}`,
  added: 'Storage added',
  addHint: 'Doesn’t count toward what the customer agreed to.',
  trip: 'Driven and not billed. Say how far, or take it as free.',
  tripZone: 'Driven and not billed. Choose the zone, or take it as free.',
}

interface StoredText {
  days: number
  free: number
  since: string
  through: string
  rate: string
  paused: boolean
  cap: string
  before: string
  on: string
  how: 'email' | 'sms' | 'by_hand'
  address: string
}

/** What the customer reads on the line of an invoice. Twin: `shopapi/billing/rules/storage_words.py` and its texts. */
export const billedWords: Record<
  Language,
  { trip: Record<'pickup' | 'return', (day: string) => string>; stored: (text: StoredText) => string }
> = {
  en: {
    trip: { pickup: (day) => `Pickup, ${day}`, return: (day) => `Return, ${day}` },
    stored: (of) =>
      [
        `Storage: ${of.days} days from ${of.since} to ${of.through}, ${of.free} of them free, then ${of.rate} a day.`,
        of.paused && 'Not counted: from when it was worked on again until we told you again.',
        of.cap && `${of.cap} at most.`,
        of.before && `${of.before} was billed before.`,
        `We told you that it is ready on ${of.on}, ${{ email: 'by email', sms: 'by text message', by_hand: 'by message' }[of.how]} to ${of.address}.`,
      ]
        .filter(Boolean)
        .join(' '),
  },
  es: {
    trip: { pickup: (day) => `Recogida, ${day}`, return: (day) => `Entrega, ${day}` },
    stored: (of) =>
      [
        `Almacenaje: ${of.days} días del ${of.since} al ${of.through}, ${of.free} de ellos gratis; luego ${of.rate} por día.`,
        of.paused && 'No se cuenta: desde que se volvió a trabajar en ella hasta que le avisamos de nuevo.',
        of.cap && `Como máximo, ${of.cap}.`,
        of.before && `Ya se facturaron ${of.before}.`,
        `Le avisamos que está lista el ${of.on}, ${{ email: 'por correo electrónico', sms: 'por mensaje de texto', by_hand: 'por mensaje' }[of.how]} a ${of.address}.`,
      ]
        .filter(Boolean)
        .join(' '),
  },
}
