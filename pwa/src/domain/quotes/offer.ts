/**
 * The exact text and amounts shown to a customer, as a document to hash.
 *
 * An approval refers to its digest (`canonicalJson`), so phone and server must make the same document.
 * Twin: `shopapi/quotes/rules/offer.py`.
 */

import type { Language } from '../contract.ts'
import { plainDecimal } from '../numbers/decimal.ts'
import type { Day } from '../time.ts'
import type { ShopPrices } from './book.ts'
import { laterTotal } from './later.ts'
import { inOrder, isAsked, type WrittenDiscount, type WrittenLine } from './lines.ts'
import { offeredLines } from './offeredLines.ts'
import { computeTotals } from './totals.ts'
import { offerWords } from './wording.ts'

/** The `format` of an offer: the version of the calculation rules of its amounts, and its canonical form. */
const formatOf = ({ rules_version = 1 }: ShopPrices) => `drawbar-offer-${rules_version}-rfc8785`

export interface OfferInput {
  readonly quote_id: string
  readonly revision: number
  readonly kind: 'first' | 'added'
  readonly shop_name: string
  readonly customer_name: string
  /** The machine as the customer reads it. */
  readonly machine: string
  readonly book: ShopPrices
  readonly lines: readonly WrittenLine[]
  readonly discount: WrittenDiscount | null
  readonly exempt: boolean
  readonly valid_until: Day
  /** English where it is left out. */
  readonly language?: Language | undefined
}

/**
 * Everything a customer is shown before deciding, with all lines counted, as plain JSON values.
 *
 * Screens and PDFs show these texts and amounts and no others. Amounts are minor units. `quantity` is
 * plain text ("1.5") and `unit` is "h", "each", "mi" or "km", both empty where the line has a price for
 * the whole; `unit_minor` is the price of one, null where it does not make the amount by itself (free
 * distance, minimum). `found` and `later_minor` of a line and `later_total_minor`, all lines done later, are there
 * only where they say something; so are `belongs_to` (the id of the line with which a line is one question), `apart`
 * (a question of its own all the same), `agreed` (not asked, always counts), `agreed_total_minor` (what no to
 * everything comes to), `credited` (how a credited diagnosis fee is taxed) and `in_part`, what becomes of a fixed
 * discount where only some of the lines are accepted. `language` is that of the texts which are ours; English is not
 * named, as before there was another one.
 */
export function offerDocument(offer: OfferInput) {
  const { book, discount, exempt, language = 'en' } = offer
  const words = offerWords(language)
  const lines = inOrder(offer.lines)
  const totals = computeTotals(book, lines, { discount, exempt })
  const later = laterTotal(book, lines, { discount, exempt })
  return {
    format: formatOf(book),
    quote_id: offer.quote_id,
    revision: offer.revision,
    kind: offer.kind,
    ...(language !== 'en' && { language }),
    shop: offer.shop_name,
    customer: offer.customer_name,
    machine: offer.machine,
    currency: book.currency,
    minor_digits: book.minor_digits,
    prices_hold_tax: book.tax_profiles[0]?.inclusive ?? false,
    exempt,
    lines: offeredLines(book, lines, totals),
    added: totals.added.map(({ key, amount_minor }) => ({ key, words: words[`added_${key}`], amount_minor })),
    by_rank: { ...totals.by_rank },
    subtotal_minor: totals.subtotal_minor,
    net_minor: totals.net_minor,
    tax: totals.tax.map(({ label, percent, base_minor, tax_minor }) => ({
      label,
      percent: plainDecimal(percent),
      base_minor,
      tax_minor,
    })),
    tax_minor: totals.tax_minor,
    total_minor: totals.total_minor,
    ...(later !== null && { later_total_minor: later }),
    ...(lines.some(({ agreed }) => agreed) && {
      agreed_total_minor: computeTotals(book, lines, {
        accepted: new Set(lines.filter((line) => !isAsked(line)).map(({ id }) => id)),
        discount,
        exempt,
      }).total_minor,
    }),
    ...((book.rules_version ?? 1) > 2 &&
      totals.added.some(({ key }) => key === 'diagnosis_credit') && { credited: words.credited }),
    ...(hasFixedDiscount(book, lines, discount) && {
      in_part: book.fixed_discount === 'full' ? words.in_part_full : words.in_part,
    }),
    deposit_minor: totals.deposit_minor,
    terms: book.terms,
    valid_until: offer.valid_until,
  }
}

export type OfferDocument = ReturnType<typeof offerDocument>

/** Whether it is said what becomes of a fixed discount where only a part is accepted. */
function hasFixedDiscount(
  book: ShopPrices,
  lines: readonly WrittenLine[],
  discount: WrittenDiscount | null,
): boolean {
  const fixed = lines.map(({ kind, discount_minor }) => (kind === 'discount' ? discount_minor : null))
  return (book.rules_version ?? 1) > 1 && [...fixed, discount?.minor].some(Boolean)
}
