/**
 * The price of one line by itself (rounding points R1 to R6 of `totals.ts`).
 *
 * Twin: `shopapi/quotes/rules/prices.py`.
 */

import type { LaborRateInput } from '../contract.ts'
import { compare, type Exact, exact, minus, plus, times } from '../numbers/decimal.ts'
import { type Minor, percentOf, roundHalf } from '../numbers/money.ts'
import type { ShopPrices } from './book.ts'
import type { WrittenLine } from './lines.ts'

/** The price of one line. */
export interface LinePrice {
  /**
   * The price of one hour, piece or unit of distance; null where quantity x unit is not the price: with a price for the
   * whole, or travel with a free distance or a minimum.
   */
  readonly unit: Minor | null
  readonly gross: Minor
  readonly discount: Minor
  readonly core: Minor
  /** The price of the line without the core charge, which is refunded. */
  readonly charge: Minor
  /** The amount of the line on the quote. */
  readonly amount: Minor
}

export function linePrice(unit: Minor | null, gross: Minor, discount: Minor, core: Minor): LinePrice {
  const charge = gross - discount
  return { unit, gross, discount, core, charge, amount: charge + core }
}

/** The price of a line of any kind but discount; null where figures for it are missing. */
export function priceLine(book: ShopPrices, line: WrittenLine): LinePrice | null {
  const found = grossOf(book, line)
  if (!found) return null
  const { unit, gross } = found
  const discount =
    line.discount_percent == null
      ? (line.discount_minor ?? 0)
      : roundHalf(percentOf(gross, line.discount_percent), book.rounding)
  const core = roundHalf(times(quantityOf(line), exact(line.core_minor ?? 0)), book.rounding)
  return linePrice(unit, gross, discount, core)
}

/**
 * The rate of a labor line: the one it names, else the most specific match, else the first.
 *
 * Most specific: for this member and this work, then for the member, then for the work.
 */
export function laborRate(book: ShopPrices, line: WrittenLine): LaborRateInput | null {
  const rates = book.labor_rates
  if (line.rate_key != null) return rates.find((rate) => rate.key === line.rate_key) ?? null
  const member = line.member_id ?? null
  const work = line.work ?? 'repair'
  const madeFor = (member_id: string | null, its: string | null) =>
    rates.find((rate) => (rate.member_id ?? null) === member_id && (rate.work ?? null) === its)
  return (
    (member && (madeFor(member, work) ?? madeFor(member, null))) || madeFor(null, work) || rates[0] || null
  )
}

/** The unit price of a part: the set price, else cost and the mark-up of its band; null: neither. */
export function partPrice(
  book: Pick<ShopPrices, 'part_bands' | 'rounding'>,
  line: Pick<WrittenLine, 'unit_price_minor' | 'unit_cost_minor'>,
): Minor | null {
  if (line.unit_price_minor != null) return line.unit_price_minor
  const cost = line.unit_cost_minor
  if (cost == null) return null
  const band = book.part_bands.find(({ up_to_minor }) => up_to_minor === null || cost <= up_to_minor)
  return band ? roundHalf(plus(exact(cost), percentOf(cost, band.markup_percent)), book.rounding) : null
}

interface Gross {
  readonly unit: Minor | null
  readonly gross: Minor
}

/** The unit price and the price of the whole line, before its discount. */
function grossOf(book: ShopPrices, line: WrittenLine): Gross | null {
  if (line.fixed_minor != null) return { unit: null, gross: line.fixed_minor }
  switch (line.kind) {
    case 'labor':
      return hoursPrice(book, line)
    case 'travel':
      return travelPrice(book, line)
    default: {
      if (line.kind === 'fee' && line.work === 'diagnosis' && line.unit_price_minor == null)
        return { unit: null, gross: book.diagnosis_fee_minor }
      const unit = partPrice(book, line)
      if (unit === null) return null
      return { unit, gross: roundHalf(times(quantityOf(line), exact(unit)), book.rounding) }
    }
  }
}

function hoursPrice(book: ShopPrices, line: WrittenLine): Gross | null {
  const rate = laborRate(book, line)
  if (line.hours == null || !rate) return null
  const unit = rate.minor_per_hour
  return { unit, gross: roundHalf(times(exact(line.hours), exact(unit)), book.rounding) }
}

function travelPrice(book: ShopPrices, line: WrittenLine): Gross | null {
  const { travel } = book
  if (travel.mode === 'zone') {
    const zone = travel.zones.find(({ key }) => key === line.zone_key)
    return zone ? { unit: null, gross: zone.minor } : null
  }
  if (line.distance == null) return null
  const free = exact(travel.free_units)
  const pastFree = minus(exact(line.distance), free)
  if (compare(pastFree, exact(0)) <= 0) return { unit: null, gross: 0 }
  const unit = travel.minor_per_unit
  const charge = roundHalf(times(pastFree, exact(unit)), book.rounding)
  if (free.n || charge < travel.minimum_minor)
    return { unit: null, gross: Math.max(charge, travel.minimum_minor) }
  return { unit, gross: charge }
}

function quantityOf(line: WrittenLine): Exact {
  return exact(line.quantity ?? 1)
}
