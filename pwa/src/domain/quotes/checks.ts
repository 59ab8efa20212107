/**
 * Checks made before anything is calculated: the form of each field, then the rules across fields.
 *
 * Refusals are sorted by field, then code. Twin: `shopapi/quotes/rules/checks.py`.
 */

import type { TaxProfileInput } from '../contract.ts'
import {
  LINE_FIGURES,
  type LineKind,
  MOST_LINES,
  MOST_ON_A_LINE,
  type PartBand,
  TAXED_KINDS,
} from '../contract.ts'
import { compare, type Exact, exact, plus } from '../numbers/decimal.ts'
import { minorDigits } from '../numbers/money.ts'
import { daysAfter } from '../time.ts'
import { bookForm, type ShopPrices } from './book.ts'
import { billedLineForm, discountForm, lineForm } from './lineForms.ts'
import { ALL_FIGURES, type WrittenDiscount, type WrittenLine } from './lines.ts'
import { priceLine } from './prices.ts'
import { ratesOf } from './taxes.ts'
import { addUp, isDiagnosisFee, wantDiscounts } from './totals.ts'
import { type FieldError, type QuoteFault, refusal } from './wording.ts'

type QuoteErrors = FieldError[]

/** The errors of a price book, with paths such as "tax_profiles.1.from_on"; empty: none. */
export function checkBook(book: ShopPrices): QuoteErrors {
  const found: QuoteErrors = []
  bookForm(book, '', found)
  if (found.length) return sorted(found)
  if (book.minor_digits !== minorDigits(book.currency)) found.push(refusal('minor_digits', 'digits_wrong'))
  if (!book.labor_rates.length) found.push(refusal('labor_rates', 'rates_missing'))
  checkKeys('labor_rates', book.labor_rates, found)
  checkBands(book.part_bands, found)
  const { percent, floor_minor, cap_minor, of } = book.supplies
  if (cap_minor !== null && cap_minor < floor_minor)
    found.push(refusal('supplies.cap_minor', 'cap_below_floor'))
  if ((exact(percent).n || floor_minor) && !of.length)
    found.push(refusal('supplies.of', 'supplies_of_nothing'))
  if (book.travel.mode === 'zone' && !book.travel.zones.length)
    found.push(refusal('travel.zones', 'zones_missing'))
  checkKeys('travel.zones', book.travel.zones, found)
  checkProfiles(book.tax_profiles, found)
  return sorted(found)
}

export interface QuoteContext {
  readonly accepted?: ReadonlySet<string> | null
  readonly discount?: WrittenDiscount | null
  /** The currency the quote was written in; absent: not checked. */
  readonly currency?: string | null
  /** The lines are of an invoice. */
  readonly billed?: boolean
}

/** The errors of a quote on its basis, with paths such as "lines.2.hours"; empty: none. */
export function checkLines(
  book: ShopPrices,
  lines: readonly WrittenLine[],
  context: QuoteContext = {},
): QuoteErrors {
  const { accepted, discount, currency, billed = false } = context
  const found: QuoteErrors = []
  for (const [at, line] of lines.entries()) (billed ? billedLineForm : lineForm)(line, `lines.${at}`, found)
  if (discount) discountForm(discount, 'discount', found)
  if (found.length) return sorted(found)

  if (currency != null && currency !== book.currency) found.push(refusal('currency', 'currency_foreign'))
  if (lines.length > MOST_LINES) found.push(refusal('lines', 'lines_too_many'))
  const ids = new Set<string>()
  let fees = 0
  for (const [at, line] of lines.entries()) {
    for (const [field, code] of checkLine(book, line)) found.push(refusal(`lines.${at}${field}`, code))
    if (ids.has(line.id)) found.push(refusal(`lines.${at}.id`, 'line_twice'))
    ids.add(line.id)
    if (isDiagnosisFee(line) && ++fees > 1) found.push(refusal(`lines.${at}.work`, 'fee_twice'))
  }
  if (accepted && [...accepted].some((id) => !ids.has(id))) found.push(refusal('accepted', 'line_unknown'))
  if (discount?.percent != null && discount.minor != null) found.push(refusal('discount', 'discount_twice'))
  if (!found.length) checkDiscounts(book, lines, discount ?? null, found)
  return sorted(found)
}

type LineFault = readonly [field: string, code: QuoteFault]

/** Pairs of a field of the line (".hours", or "" for the whole line) and a code. */
function checkLine(book: ShopPrices, line: WrittenLine): readonly LineFault[] {
  // The figures of a kind that only a newer server knows are checked there.
  const own: readonly (keyof WrittenLine)[] | undefined = LINE_FIGURES[line.kind]
  const strangers = [...ALL_FIGURES].filter((name) => line[name] != null && own?.includes(name) === false)
  if (strangers.length) return strangers.map((name) => [`.${name}`, 'not_for_kind'])
  if (line.discount_percent != null && line.discount_minor != null)
    return [['.discount_minor', 'discount_twice']]
  if (line.fixed_minor != null && line.unit_price_minor != null) return [['.fixed_minor', 'price_twice']]
  if (line.rate_key != null && !book.labor_rates.some(({ key }) => key === line.rate_key))
    return [['.rate_key', 'rate_unknown']]
  if (line.zone_key != null && !book.travel.zones.some(({ key }) => key === line.zone_key))
    return [['.zone_key', 'zone_unknown']]
  return checkPrice(book, line)
}

function checkPrice(book: ShopPrices, line: WrittenLine): readonly LineFault[] {
  if (line.kind === 'discount')
    return line.discount_percent == null && line.discount_minor == null ? [['', 'price_missing']] : []
  const price = priceLine(book, line)
  if (!price) return [['', 'price_missing']]
  const faults: LineFault[] = []
  if (price.discount > Math.max(price.gross, 0) || price.discount < Math.min(price.gross, 0))
    faults.push(['.discount_minor', 'discount_exceeds_line'])
  if (Math.abs(price.gross + price.core) > MOST_ON_A_LINE) faults.push(['', 'amount_out_of_range'])
  return faults
}

function checkDiscounts(
  book: ShopPrices,
  lines: readonly WrittenLine[],
  discount: WrittenDiscount | null,
  found: QuoteErrors,
): void {
  const { whole } = addUp(book, lines, () => true)
  if (wantDiscounts(book, lines, discount, whole, whole).off > Math.max(whole, 0))
    found.push(refusal('discount', 'discount_exceeds_quote'))
}

function checkKeys(path: string, entries: readonly { readonly key: string }[], found: QuoteErrors): void {
  const seen = new Set<string>()
  for (const [at, { key }] of entries.entries()) {
    if (seen.has(key)) found.push(refusal(`${path}.${at}.key`, 'key_twice'))
    seen.add(key)
  }
}

function checkBands(bands: readonly PartBand[], found: QuoteErrors): void {
  for (const [at, { up_to_minor }] of bands.entries()) {
    const path = `part_bands.${at}.up_to_minor`
    if ((up_to_minor === null) !== (at === bands.length - 1)) found.push(refusal(path, 'bands_last_open'))
    const before = bands[at - 1]?.up_to_minor ?? null
    if (before !== null && up_to_minor !== null && up_to_minor <= before)
      found.push(refusal(path, 'bands_not_ascending'))
  }
}

function checkProfiles(profiles: readonly TaxProfileInput[], found: QuoteErrors): void {
  if (!profiles.length) found.push(refusal('tax_profiles', 'profile_missing'))
  checkKeys('tax_profiles', profiles, found)
  for (const [at, profile] of profiles.entries()) {
    const { from_on, until_on, rates } = profile
    const path = `tax_profiles.${at}`
    if (until_on !== null && until_on < from_on) found.push(refusal(`${path}.until_on`, 'dates_reversed'))
    checkKeys(`${path}.rates`, rates, found)
    if (TAXED_KINDS.some((kind) => compare(percentOn(profile, kind), exact(100)) > 0))
      found.push(refusal(`${path}.rates`, 'rates_too_high'))
    for (const [place, { of }] of rates.entries())
      if (of?.length === 0) found.push(refusal(`${path}.rates.${place}.of`, 'rate_of_nothing'))
    const before = profiles[at - 1]
    if (!before) continue
    if (before.until_on === null || from_on <= before.until_on)
      found.push(refusal(`${path}.from_on`, 'profile_overlap'))
    else if (from_on > daysAfter(before.until_on, 1)) found.push(refusal(`${path}.from_on`, 'profile_gap'))
  }
}

function sorted(found: QuoteErrors): QuoteErrors {
  const order = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0)
  return found.toSorted((a, b) => order(a.field, b.field) || order(a.code, b.code))
}

function percentOn(profile: TaxProfileInput, kind: LineKind): Exact {
  return ratesOf(profile, kind).reduce((all, { percent }) => plus(all, exact(percent)), exact(0))
}
