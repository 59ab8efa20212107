/**
 * Why a price book or a quote is refused, and the way out, in plain words by code.
 *
 * Twin: `shopapi/quotes/rules/wording.py`, the same sentences.
 */

/** One field at fault: its path ("lines.2.hours"), a stable code, and words that say the way out. */
export interface FieldError {
  readonly field: string
  readonly code: string
  readonly words: string
}

export const REFUSALS: Readonly<Record<string, string>> = {
  amount_out_of_range: 'This line comes to more than 10,000,000,000 of the smallest coin. Check its figures.',
  bands_last_open: 'Leave the upper price of the last mark-up band open, and of that band only.',
  bands_not_ascending: 'Each mark-up band must end at a higher price than the one before it.',
  cap_below_floor: 'The cap on supplies is below the floor. Raise the one or lower the other.',
  currency_foreign: 'The shop has its prices in another currency. Write the quote in that one.',
  currency_unknown: 'Give the currency as three capital letters, such as USD.',
  dates_reversed: 'This tax profile ends before it begins. Mend one of the two dates.',
  digits_wrong: 'This is not the number of decimal digits that the currency has.',
  discount_exceeds_line: "The discount is larger than the line. Lower it to the line's amount at most.",
  discount_exceeds_quote: 'The discounts are larger than everything else on the quote. Lower them.',
  discount_twice: 'Give the discount as a percentage or as an amount, not both.',
  distance_out_of_range: 'The distance must be from 0 to 10,000. Write longer travel as two lines.',
  fee_twice: 'The diagnosis fee is charged once. Take one of its lines out.',
  hours_out_of_range: 'The hours must be from 0 to 1,000. Split longer work into two lines.',
  key_not_plain: 'Use a small letter first, then up to 39 small letters, digits, _ or -.',
  key_twice: 'Another entry of this list has the same key. Give this one its own.',
  line_twice: 'Two lines of this quote have the same id. Make the second one again.',
  line_unknown: "This quote has no line with this id. Look at the quote's newest revision.",
  lines_too_many: 'A quote holds at most 200 lines. Make a second quote for the rest.',
  money_out_of_range: 'The amount must be from 0 to 1,000,000,000 of the smallest coin, such as cents.',
  not_for_kind: "A line of this kind has no such figure. Take it out, or change the line's kind.",
  percent_out_of_range: 'The percentage must be from 0 to 100.',
  markup_out_of_range: 'The mark-up must be from 0 to 1,000 percent.',
  position_out_of_range: 'The position must be from 0 to 100,000.',
  price_missing: 'This line has no price. Set one.',
  price_twice: 'This line has two prices. Keep one of them.',
  profile_gap: 'No tax profile holds just before this one. Let it begin the day after the last one ends.',
  profile_missing: 'Set up one tax profile at least; without tax, one that has no rates.',
  profile_overlap: 'This tax profile begins before the last one ends. Let it begin the day after.',
  quantity_out_of_range: 'The quantity must be from 0 to 10,000.',
  rate_unknown: 'The shop has no labor rate with this key. Choose one of its rates.',
  rates_missing: 'Set up one labor rate at least. The first one is the standard rate.',
  rules_version_unknown:
    'These calculation rules are not known here. Update the app, then write the quote again.',
  rates_too_high: 'The rates of this tax profile come to more than 100 percent.',
  step_out_of_range: 'The deposit must be rounded to a step from 1 to 1,000,000 minor units.',
  supplies_of_nothing: 'Say what the supplies percentage is taken of: labor, parts or both.',
  text_too_long: 'This text is too long. Shorten it.',
  valid_days_out_of_range: 'A quote must hold for 1 to 365 days.',
  words_empty: 'Say in words what this is.',
  zone_unknown: 'The shop has no travel zone with this key. Choose one of its zones.',
  zones_missing: 'Set up one travel zone at least, or charge travel by distance.',
}

/** Faults in the form of a value. On the server `shopapi/core/schema.py` has words for them. */
const FORM: Readonly<Record<string, string>> = {
  decimal_text: 'Write a plain number, such as 1.25.',
  int_type: 'Write a whole number.',
  missing: 'This is needed.',
  unstorable_text: 'This text holds a character that cannot be kept (NUL or half of a pair); take it out.',
}
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
export function refusal(field: string, code: string): FieldError {
  return { field, code, words: REFUSALS[code] ?? FORM[code] ?? MALFORMED }
}
