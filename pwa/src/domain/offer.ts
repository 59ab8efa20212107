/**
 * The exact text and amounts that an owner is shown, as bytes to hash.
 *
 * An approval binds to the SHA-256 of these bytes, so phone and server must make the same ones.
 * Hashing itself waits for the platform and is left to the caller. Twin: `shopapi/quotes/rules/offer.py`.
 */
import type { PriceBook } from './book.ts'
import { plainDecimal } from './decimal.ts'
import { laterTotal } from './later.ts'
import { type Discount, inOrder, type QuoteLine } from './lines.ts'
import { isDiagnosisFee, reckon } from './reckoning.ts'
import { isStorable } from './shape.ts'
import type { Day } from './time.ts'
import { ADDED } from './wording.ts'

export const FORMAT = 'drawbar-offer-1'

export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json }

export interface Offer {
  readonly quote_id: string
  readonly revision: number
  readonly kind: 'first' | 'added'
  readonly shop_name: string
  readonly customer_name: string
  /** The machine as the owner reads it. */
  readonly machine: string
  readonly book: PriceBook
  readonly lines: readonly QuoteLine[]
  readonly discount: Discount | null
  readonly exempt: boolean
  readonly valid_until: Day
}

/**
 * Everything an owner is shown before deciding, with all lines counted, as plain JSON values.
 *
 * Screens and paper show these texts and amounts and no others. Amounts are minor units. `quantity` is
 * plain text ("1.5") and `unit` is "h", "each", "mi" or "km", both empty where the line has a price for
 * the whole; `unit_minor` is the price of one, null where it does not make the amount by itself (free
 * distance, minimum). `found` and `later_minor` of a line and `later_total_minor`, all lines done later, are there
 * only where they say something.
 */
export function offerDocument(offer: Offer) {
  const { book, discount, exempt } = offer
  const lines = inOrder(offer.lines)
  const reckoned = reckon(book, lines, { discount, exempt })
  const later = laterTotal(book, lines, { discount, exempt })
  return {
    format: FORMAT,
    quote_id: offer.quote_id,
    revision: offer.revision,
    kind: offer.kind,
    shop: offer.shop_name,
    customer: offer.customer_name,
    machine: offer.machine,
    currency: book.currency,
    minor_digits: book.minor_digits,
    prices_hold_tax: book.tax_profiles[0]?.inclusive ?? false,
    exempt,
    lines: reckoned.lines.map((price, at) => {
      const line = lines[at] as QuoteLine
      return {
        id: line.id,
        kind: line.kind,
        rank: line.rank,
        words: line.words,
        included: line.included ?? '',
        ...counted(book, line),
        unit_minor: price.unit_minor,
        discount_minor: price.discount_minor,
        core_minor: price.core_minor,
        amount_minor: price.amount_minor,
        ...(line.found && { found: line.found }),
        ...(line.later_minor != null && { later_minor: line.later_minor }),
      }
    }),
    added: reckoned.added.map(({ key, amount_minor }) => ({ key, words: ADDED[key], amount_minor })),
    by_rank: reckoned.by_rank,
    subtotal_minor: reckoned.subtotal_minor,
    net_minor: reckoned.net_minor,
    tax: reckoned.tax.map(({ label, percent, base_minor, tax_minor }) => ({
      label,
      percent: plainDecimal(percent),
      base_minor,
      tax_minor,
    })),
    tax_minor: reckoned.tax_minor,
    total_minor: reckoned.total_minor,
    ...(later !== null && { later_total_minor: later }),
    deposit_minor: reckoned.deposit_minor,
    terms: book.terms,
    valid_until: offer.valid_until,
  }
}

export type OfferDocument = ReturnType<typeof offerDocument>

/** How much of what a line is for, both texts empty where it has a price for the whole. */
function counted(book: PriceBook, line: QuoteLine): { quantity: string; unit: string } {
  const byZone = line.kind === 'travel' && book.travel.mode === 'zone'
  const byBook = isDiagnosisFee(line) && line.unit_price_minor == null
  if (line.fixed_minor != null || byZone || byBook || line.kind === 'discount')
    return { quantity: '', unit: '' }
  if (line.kind === 'labor') return { quantity: plainDecimal(line.hours ?? '1'), unit: 'h' }
  if (line.kind === 'travel') return { quantity: plainDecimal(line.distance ?? '1'), unit: book.travel.unit }
  return { quantity: plainDecimal(line.quantity ?? '1'), unit: 'each' }
}

/** Something that has no one spelling in canonical JSON; `path` says where, in dots. */
export class NotCanonical extends Error {
  readonly path: string
  readonly code: string

  constructor(path: string, code: string) {
    super(`${path || 'document'}: ${code}`)
    this.path = path
    this.code = code
  }
}

/**
 * The one spelling of a JSON value, to be written as UTF-8.
 *
 * Objects with ASCII keys in order, arrays, strings in Unicode form NFC, whole numbers of at most
 * 2^53 - 1, booleans, null; no white space; in strings only ", \ and the characters below U+0020 are
 * escaped, as RFC 8785 does. Throws NotCanonical for fractions and other values, for NUL and for halves
 * of surrogate pairs.
 */
export function canonical(value: Json, path = ''): string {
  const below = (name: string | number) => (path ? `${path}.${name}` : `${name}`)
  if (value === null || typeof value === 'boolean') return String(value)
  if (typeof value === 'number') {
    if (!Number.isInteger(value)) throw new NotCanonical(path, 'not_json')
    if (!Number.isSafeInteger(value)) throw new NotCanonical(path, 'number_too_large')
    return String(value === 0 ? 0 : value)
  }
  if (typeof value === 'string') {
    if (!isStorable(value)) throw new NotCanonical(path, 'unstorable_text')
    return JSON.stringify(value.normalize('NFC'))
  }
  if (Array.isArray(value)) return `[${value.map((item: Json, at) => canonical(item, below(at))).join(',')}]`
  if (typeof value !== 'object') throw new NotCanonical(path, 'not_json')
  const entries = Object.entries(value as { readonly [key: string]: Json })
  // biome-ignore lint/suspicious/noControlCharactersInRegex: ASCII begins with them.
  if (entries.some(([key]) => !/^[\x00-\x7f]*$/.test(key))) throw new NotCanonical(path, 'key_not_ascii')
  const spelled = entries
    .map(([key, item]) => ({ key, text: `${JSON.stringify(key)}:${canonical(item, below(key))}` }))
    .toSorted((a, b) => (a.key < b.key ? -1 : 1))
  return `{${spelled.map(({ text }) => text).join(',')}}`
}
