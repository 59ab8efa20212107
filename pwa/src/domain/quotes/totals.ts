/**
 * The totals of a quote, computed from the price book and the lines.
 *
 * The order of the sums and every rounding point (R1 to R9, T1, S1) are listed in the twin,
 * `shopapi/quotes/rules/totals.py`; both agree on every vector of `fixtures/pricing` and on the
 * generated quotes of `tests/quotes/test_twin.py`. Nothing else is rounded.
 */

import {
  type Added,
  type FindingRank,
  LINE_KINDS,
  type LineKind,
  type QuoteTotals,
  RANKS,
} from '../contract.ts'
import { exact, over, times } from '../numbers/decimal.ts'
import { type Minor, percentOf, roundHalf, roundToStep, shareOut, sum } from '../numbers/money.ts'
import type { ShopPrices } from './book.ts'
import { inOrder, type WrittenDiscount, type WrittenLine } from './lines.ts'
import { type LinePrice, linePrice, priceLine } from './prices.ts'
import { isTaxed, taxOn } from './taxes.ts'

export interface Terms {
  /** The ids of the lines that count; absent or null: all. */
  readonly accepted?: ReadonlySet<string> | null
  readonly discount?: WrittenDiscount | null
  /** The customer pays no tax; tax included in prices is deducted. */
  readonly exempt?: boolean
}

/**
 * Compute the totals of a quote on its basis, a price book with exactly one tax profile.
 *
 * Call `checkLines` first, which refuses lines without a price. Lines are returned in the order of position and id;
 * declined ones have a price but are in no sum.
 */
export function computeTotals(
  book: ShopPrices,
  unordered: readonly WrittenLine[],
  terms: Terms = {},
): QuoteTotals {
  const [profile] = book.tax_profiles
  if (!profile || book.tax_profiles.length > 1) throw new RangeError('a basis has exactly one tax profile')
  const counts = (id: string) => terms.accepted?.has(id) ?? true
  const lines = inOrder(unordered)
  const charges = addUp(book, lines, counts)
  const offered = terms.accepted ? addUp(book, lines, () => true).whole : charges.whole
  const wanted = wantDiscounts(book, lines, terms.discount ?? null, charges.whole, offered)
  const discounts = holdDiscounts(wanted, charges.whole, counts)

  const withParts = charges.lines.some(({ kind }) => kind === 'part')
  const byKind = Object.fromEntries(
    LINE_KINDS.map((kind) => [kind, isTaxed(profile, kind, withParts)]),
  ) as Record<LineKind, boolean>
  const taxable = (line: WrittenLine) => line.taxed ?? byKind[line.kind]
  const taxed = [...charges.lines.map(taxable), byKind.labor, byKind.supplies]
  const bases = nets(book, charges, discounts.off).map((net, at) => (taxed[at] ? net : 0))
  const kinds: LineKind[] = [...charges.lines.map(({ kind }) => kind), 'labor', 'supplies']
  const tax = taxOn(
    profile,
    bases.map((amount, at) => ({ amount, kind: kinds[at] ?? 'fee' })),
    terms.exempt ?? false,
  )
  const taxByLine = new Map(charges.lines.map(({ id }, at) => [id, tax.each[at] ?? null]))

  const lineTotals = lines.map((line) => {
    const price = charges.prices.get(line.id) ?? linePrice(null, 0, discounts.byLine.get(line.id) ?? 0, 0)
    return {
      id: line.id,
      accepted: counts(line.id),
      unit_minor: price.unit,
      gross_minor: price.gross,
      discount_minor: price.discount,
      core_minor: price.core,
      amount_minor: price.amount,
      taxable: taxable(line),
      tax_minor: taxByLine.get(line.id) ?? null,
    }
  })
  const subtotal = charges.whole - discounts.off - tax.takenOut
  const net = profile.inclusive ? subtotal - tax.whole : subtotal
  const total = net + tax.whole
  const deposit = depositOf(book, charges, total)
  return {
    lines: lineTotals,
    added: addedTo(charges, { tax, byKind, offQuote: discounts.offQuote }),
    by_rank: byRank(charges),
    subtotal_minor: subtotal,
    net_minor: net,
    tax: tax.rows,
    tax_minor: tax.whole,
    total_minor: total,
    deposit_minor: deposit,
    owed_after_deposit_minor: total - deposit,
  }
}

interface SumContext {
  tax: ReturnType<typeof taxOn>
  byKind: Readonly<Record<LineKind, boolean>>
  offQuote: Minor
}

/** The nonzero amounts below the lines. The taxes of the first two follow those of the lines in `tax`. */
function addedTo(charges: ReturnType<typeof addUp>, { tax, byKind, offQuote }: SumContext): Added[] {
  const [taxOfMinimum = null, taxOfSupplies = null] = tax.each.slice(charges.lines.length)
  const untaxed = { taxable: false, tax_minor: null }
  const added: Added[] = [
    {
      key: 'labor_minimum',
      amount_minor: charges.laborMinimum,
      taxable: byKind.labor,
      tax_minor: taxOfMinimum,
    },
    { key: 'supplies', amount_minor: charges.supplies, taxable: byKind.supplies, tax_minor: taxOfSupplies },
    { key: 'diagnosis_credit', amount_minor: -charges.diagnosisCredit, ...untaxed },
    { key: 'discount', amount_minor: -offQuote, ...untaxed },
    { key: 'exemption', amount_minor: -tax.takenOut, ...untaxed },
  ]
  return added.filter(({ amount_minor }) => amount_minor !== 0)
}

type Counts = (id: string) => boolean

/** Whether a diagnosis fee is credited against a line: all labor but diagnosis and travel. */
function isRepairLabor(line: WrittenLine): boolean {
  return line.kind === 'labor' && line.work !== 'diagnosis' && line.work !== 'travel'
}

/** Whether a line charges the diagnosis fee. */
export function isDiagnosisFee(line: WrittenLine): boolean {
  return line.kind === 'fee' && line.work === 'diagnosis'
}

/**
 * The sum of 1 to 4: the accepted lines, additions and the credit. `lines` has no discount lines; `prices` includes
 * those of declined lines.
 */
interface Charges {
  readonly lines: readonly WrittenLine[]
  readonly prices: ReadonlyMap<string, LinePrice>
  readonly laborMinimum: Minor
  readonly supplies: Minor
  readonly diagnosisCredit: Minor
  /** The amount that discounts are computed on; below zero only where an invoice takes back more than it bills. */
  readonly whole: Minor
}

/** Steps 1 to 4 over lines that all have a price. */
export function addUp(book: ShopPrices, lines: readonly WrittenLine[], counts: Counts): Charges {
  const prices = new Map<string, LinePrice>()
  for (const line of lines) if (line.kind !== 'discount') prices.set(line.id, priceOf(book, line))
  const priced = lines.flatMap((line) => {
    const price = prices.get(line.id)
    return price && counts(line.id) ? [{ line, price }] : []
  })
  const charged = (which: (line: WrittenLine) => boolean) =>
    sum(priced.filter(({ line }) => which(line)).map(({ price }) => price.charge))

  const labor = sum(priced.filter(({ line }) => line.kind === 'labor').map(({ price }) => price.gross))
  const laborMinimum = labor > 0 ? Math.max(book.labor_minimum_minor - labor, 0) : 0
  const of: readonly string[] = book.supplies.of
  const hasSupplies = lines.some(({ kind }) => kind === 'supplies')
  const supplies = hasSupplies
    ? 0
    : suppliesOn(
        book,
        charged(({ kind }) => of.includes(kind)),
      )
  const diagnosisCredit = book.credit_diagnosis
    ? Math.max(0, Math.min(charged(isDiagnosisFee), charged(isRepairLabor)))
    : 0
  return {
    lines: priced.map(({ line }) => line),
    prices,
    laborMinimum,
    supplies,
    diagnosisCredit,
    whole: sum(priced.map(({ price }) => price.amount)) + laborMinimum + supplies - diagnosisCredit,
  }
}

function suppliesOn(book: ShopPrices, base: Minor): Minor {
  if (base <= 0) return 0
  const { percent, floor_minor, cap_minor } = book.supplies
  const charge = Math.max(roundHalf(percentOf(base, percent), book.rounding), floor_minor)
  return cap_minor === null ? charge : Math.min(charge, cap_minor)
}

/** Step 5 as positive figures: per discount line, of the quote itself, and the sum. */
interface Discounts {
  readonly byLine: ReadonlyMap<string, Minor>
  readonly offQuote: Minor
  readonly off: Minor
}

/**
 * The discounts (R8), each computed on the whole that counts, before they are limited to it. `offered`: the whole if
 * every line counted. Of 100.00 off an offer of 400.00, 25.00 are deducted where 100.00 count.
 */
export function wantDiscounts(
  book: ShopPrices,
  lines: readonly WrittenLine[],
  discount: WrittenDiscount | null,
  sum_of_all: Minor,
  offered: Minor,
): Discounts {
  const whole = Math.max(sum_of_all, 0)
  // With a labor minimum a part can cost more than the whole; the discount is not exceeded.
  const shared = (book.rules_version ?? 1) > 1 && book.fixed_discount !== 'full' && whole < offered
  const wanted = (percent: string | null | undefined, minor: Minor | null | undefined) => {
    if (percent != null) return roundHalf(percentOf(whole, percent), book.rounding)
    if (!shared) return minor ?? 0
    return roundHalf(over(times(exact(minor ?? 0), exact(whole)), exact(offered)), book.rounding)
  }
  const byLine = new Map<string, Minor>()
  for (const line of lines)
    if (line.kind === 'discount') byLine.set(line.id, wanted(line.discount_percent, line.discount_minor))
  const offQuote = wanted(discount?.percent, discount?.minor)
  return { byLine, offQuote, off: sum(byLine.values()) + offQuote }
}

/**
 * The discounts that count, in order, together limited to the whole. A declined discount line keeps its amount, which
 * is in no sum.
 */
function holdDiscounts(wanted: Discounts, sum_of_all: Minor, counts: Counts): Discounts {
  const whole = Math.max(sum_of_all, 0)
  let left = whole
  const byLine = new Map<string, Minor>()
  for (const [id, amount] of wanted.byLine) {
    const off = Math.min(amount, counts(id) ? left : whole)
    byLine.set(id, off)
    if (counts(id)) left -= off
  }
  const offQuote = Math.min(wanted.offQuote, left)
  return { byLine, offQuote, off: whole - left + offQuote }
}

/** What remains of each line, the labor minimum and the supplies after credit and discounts (S1). */
function nets(book: ShopPrices, charges: Charges, off: Minor): Minor[] {
  const priced = charges.lines.map((line) => ({ line, price: priceIn(charges, line) }))
  const amounts = [...priced.map(({ price }) => price.amount), charges.laborMinimum, charges.supplies]
  const isCredited = (book.rules_version ?? 1) > 2 ? isDiagnosisFee : isRepairLabor
  const charged = priced.map(({ line, price }) => (isCredited(line) ? price.charge : 0))
  const credited = less(amounts, shareOut(charges.diagnosisCredit, [...charged, 0, 0]))
  return less(credited, shareOut(off, credited))
}

function less(amounts: readonly Minor[], shares: readonly Minor[]): Minor[] {
  return amounts.map((amount, at) => amount - (shares[at] ?? 0))
}

function byRank(charges: Charges): Record<FindingRank, Minor> {
  const totals = Object.fromEntries(RANKS.map((rank) => [rank, 0])) as Record<FindingRank, Minor>
  for (const line of charges.lines)
    totals[line.rank] = (totals[line.rank] ?? 0) + priceIn(charges, line).amount
  return totals
}

/** The deposit (R9), limited to the total. */
function depositOf(book: ShopPrices, charges: Charges, total: Minor): Minor {
  const { percent, of, from_total_minor, rounding_to_minor, fixed_minor } = book.deposit
  if (total < from_total_minor) return 0
  if (fixed_minor != null) return Math.min(fixed_minor, total)
  const parts = charges.lines.filter(({ kind }) => kind === 'part')
  const base = of === 'parts' ? Math.max(0, sum(parts.map((line) => priceIn(charges, line).amount))) : total
  return Math.min(roundToStep(percentOf(base, percent), rounding_to_minor, book.rounding), total)
}

function priceIn(charges: Charges, line: WrittenLine): LinePrice {
  return charges.prices.get(line.id) ?? linePrice(null, 0, 0, 0)
}

function priceOf(book: ShopPrices, line: WrittenLine): LinePrice {
  const price = priceLine(book, line)
  if (!price) throw new RangeError(`line ${line.id} has no price: checkLines comes before computeTotals`)
  return price
}
