/**
 * The refusal of a field of a price book or a quote, and what the customer reads of its amounts.
 *
 * Twin: `shopapi/quotes/rules/wording.py`, the same sentences.
 */

import { REFUSALS } from '../messages/quotes.ts'

/** One field at fault: its path ("lines.2.hours"), a stable code, and words that say the way out. */
export interface FieldError {
  readonly field: string
  readonly code: QuoteFault
  readonly words: string
}

/** Faults in the form of a value. On the server `shopapi/core/schema.py` has words for them. */
const FORM = {
  decimal_text: 'Write a plain number, such as 1.25.',
  int_type: 'Write a whole number.',
  missing: 'This is needed.',
  unstorable_text: 'This text holds a character that cannot be kept (NUL or half of a pair); take it out.',
}
const WORDS: Readonly<Record<string, string>> = { ...REFUSALS, ...FORM }
/** What the form of a value may be refused for, without words of its own. */
type Malformed =
  | `${'bool' | 'date' | 'model' | 'string' | 'tuple' | 'uuid'}_type`
  | 'date_parsing'
  | 'literal_error'
  | 'uuid_parsing'
/** Every code that refuses a price book or a quote. */
export type QuoteFault = keyof typeof REFUSALS | keyof typeof FORM | Malformed
const MALFORMED = 'This is not a value that can stand here.'

/** What the customer reads beside each amount that is added to the lines. */
export const ADDED = {
  labor_minimum: "Up to the shop's minimum for labor",
  supplies: 'Shop supplies',
  diagnosis_credit: 'Diagnosis fee credited against the repair',
  discount: 'Discount',
  exemption: 'Tax taken out of the prices (exempt)',
} as const

/** What the customer reads of a fixed discount before deciding. */
export const IN_PART =
  'The fixed discount is for everything on this quote. If you accept only some of it, you get the same share of the discount.'

const SUPPLIES = 'Shop supplies (small things used up on the job, such as cleaner, grease and rags)'

/** What comes to the prices of the lines, told to the customer before any yes; empty where nothing does. */
export function onTop(is: { supplies: boolean; tax: boolean; taxInside: boolean }): string {
  const added = is.tax && !is.taxInside
  const both = `${SUPPLIES} and tax come on top of the lines; the total counts them in.`
  const supplies = `${SUPPLIES} come on top of the lines; the total counts them in.`
  const tax = 'Tax comes on top of the lines; the total counts it in.'
  const said = is.supplies ? (added ? both : supplies) : added ? tax : ''
  return is.tax && is.taxInside ? `${said} The prices hold the tax.`.trim() : said
}

/** The refusal of a field, a path in dots, with the words of its code. */
export function refusal(field: string, code: QuoteFault): FieldError {
  return { field, code, words: WORDS[code] ?? MALFORMED }
}
