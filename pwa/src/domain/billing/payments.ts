/** What a payment counts for. Twin: `shopapi/billing/rules/payments.py`. All amounts are in minor units. */

import type { Payment } from '../contract.ts'

type Figures = Pick<Payment, 'kind' | 'method' | 'amount_minor' | 'tip_minor' | 'reverses_id'>

const signed = ({ reverses_id }: Figures, minor: number): number => (reverses_id === null ? minor : -minor)

/** What an entry counts for the bill; below zero where money went back. */
export function towardBill(entry: Figures): number {
  if (entry.kind === 'tip') return 0
  return signed(entry, entry.kind === 'refund' ? -entry.amount_minor : entry.amount_minor)
}

export const tipIn = (entry: Figures): number =>
  signed(entry, entry.kind === 'tip' ? entry.amount_minor : entry.tip_minor)

/** What came into the shop's hands with an entry, tips too; of the customer's credit nothing. */
export const changedHands = (entry: Figures): number =>
  entry.method === 'credit' ? 0 : towardBill(entry) + tipIn(entry)

/** What the shop keeps for a customer: refunds to credit less what was paid from it. */
export const creditOf = (entries: readonly Figures[]): number =>
  entries.reduce((kept, entry) => kept - (entry.method === 'credit' ? towardBill(entry) : 0), 0)

const CARD_NUMBER = /(?:[0-9][ -]?){13,19}/g

/** Whether a text holds 13 to 19 digits whose last one is the check digit of a card number (ISO/IEC 7812-1). */
export const holdsCardNumber = (text: string): boolean =>
  (text.match(CARD_NUMBER) ?? []).some((found) => {
    const digits = [...found.replace(/\D/g, '')].reverse()
    const doubled = digits.map((digit, at) => Number(digit) * (at % 2 ? 2 : 1))
    return doubled.reduce((sum, number) => sum + (number > 9 ? number - 9 : number), 0) % 10 === 0
  })
