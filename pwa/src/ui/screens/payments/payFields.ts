import { holdsCardNumber } from '../../../domain/billing/payments'
import type { PaymentKind, PaymentMethod } from '../../../domain/contract'
import type { Day } from '../../../domain/time'
import { payForm as t } from '../../../domain/words/payments'
import { format, today } from '../../shopFormat'
import type { FieldErrors } from '../../useForm'

export const METHODS = ['cash', 'card', 'check', 'transfer', 'credit', 'other'] as const

/** What is typed of an entry; amounts as typed. */
export interface EntryFields {
  amount: string
  method: PaymentMethod
  reference: string
  day: string
  note: string
}

export interface PayFields extends EntryFields {
  kind: Exclude<PaymentKind, 'refund'>
  tip: string
}

export const blankEntry = (minor: number): EntryFields => ({
  amount: format.value.typedMoney(minor || null),
  method: 'cash',
  reference: '',
  day: today(),
  note: '',
})

/** The amount in minor units; null where none above zero was typed. */
export function amountOf({ amount }: Pick<EntryFields, 'amount'>): number | null {
  const minor = format.value.readMoney(amount)
  return minor !== null && minor > 0 ? minor : null
}

/** The tip in minor units; null where it is no amount. */
export function tipOf({ tip, kind }: Pick<PayFields, 'tip' | 'kind'>): number | null {
  if (kind === 'tip' || !tip.trim()) return 0
  const minor = format.value.readMoney(tip)
  return minor !== null && minor >= 0 ? minor : null
}

/** What is wrong with an entry by itself. Twin: `shopapi/billing/rules/payments.py`. */
export const entryErrors = (fields: EntryFields): FieldErrors => ({
  amount: amountOf(fields) === null && t.missingAmount,
  reference: fields.method === 'card' && holdsCardNumber(fields.reference) && t.cardNumber,
  note: fields.method === 'card' && holdsCardNumber(fields.note) && t.cardNumber,
  day: fields.day > today() && t.dayAhead,
})

/** The arguments that every entry has. A day left as it is comes from the time of the payment. */
export const entryArgs = (fields: EntryFields, amount_minor: number) => ({
  amount_minor,
  method: fields.method,
  reference: fields.reference.trim(),
  note: fields.note.trim(),
  paid_on: fields.day && fields.day !== today() ? (fields.day as Day) : null,
})
