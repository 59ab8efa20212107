/**
 * The refusal of a field of a price book or a quote, and the notice of what comes on top.
 *
 * Twin: `shopapi/quotes/rules/wording.py`, the same cases; the sentences stand in `messages/quotes.ts`.
 */

import type { Language } from '../contract.ts'
import { OFFER, REFUSALS } from '../messages/quotes.ts'

/** One field at fault: its path ("lines.2.hours"), a stable code, and a message that says how to correct it. */
export interface FieldError {
  readonly field: string
  readonly code: QuoteFault
  readonly words: string
}

/** Faults in the form of a value. On the server their messages are in `shopapi/core/schema.py`. */
const FORM = {
  decimal_text: 'Write a plain number, such as 1.25.',
  int_type: 'Write a whole number.',
  missing: 'This is required.',
  unstorable_text: 'This text has a character that can’t be stored (NUL or half of a pair); delete it.',
}
const WORDS: Readonly<Record<string, string>> = { ...REFUSALS, ...FORM }
/** Codes of faults in the form of a value, without a message of their own. */
type Malformed =
  | `${'bool' | 'date' | 'model' | 'string' | 'tuple' | 'uuid'}_type`
  | 'date_parsing'
  | 'literal_error'
  | 'uuid_parsing'
/** Every refusal code of a price book or a quote. */
export type QuoteFault = keyof typeof REFUSALS | keyof typeof FORM | Malformed
const MALFORMED = 'This is not a value that can stand here.'

/** The notice of what is added to the lines' prices, shown before a decision; empty if nothing is. */
export function onTop(
  language: Language,
  is: { supplies: boolean; tax: boolean; taxInside: boolean },
): string {
  const t = offerWords(language)
  const tax = !is.tax ? 'none' : is.taxInside ? 'inside' : 'added'
  const said = is.supplies
    ? { none: t.on_top_supplies, inside: t.on_top_supplies_inside, added: t.on_top_supplies_tax }
    : { none: '', inside: t.on_top_inside, added: t.on_top_tax }
  return said[tax]
}

/** What an offer says in a language; one that this app does not know reads as English. */
export const offerWords = (language: Language) => OFFER[language] ?? OFFER.en

/** The refusal of a field (a dotted path), with the message of its code. */
export function refusal(field: string, code: QuoteFault): FieldError {
  return { field, code, words: WORDS[code] ?? MALFORMED }
}
