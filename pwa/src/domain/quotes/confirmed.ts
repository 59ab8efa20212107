/**
 * Which parts of a price book a person has confirmed, and the drafts that follow them: no quote is offered before all
 * are. Twin: `shopapi/quotes/rules/confirmed.py`.
 */
import { PRICE_PARTS, type PricePart } from '../contract.ts'
import type { Day } from '../time.ts'
import { basisOn, type ShopPrices } from './book.ts'

/** The parts that nobody has confirmed, in their order. */
export const unconfirmed = (confirmed: readonly PricePart[]): PricePart[] =>
  PRICE_PARTS.filter((part) => !confirmed.includes(part))

/** The confirmed parts with more of them, in their order. */
export const withConfirmed = (confirmed: readonly PricePart[], more: readonly PricePart[]): PricePart[] =>
  PRICE_PARTS.filter((part) => confirmed.includes(part) || more.includes(part))

/** The basis of a draft that follows the price book in some parts, with the tax in force on a day. */
export function following(
  basis: ShopPrices,
  book: ShopPrices,
  parts: readonly PricePart[],
  on: Day,
): ShopPrices {
  const current = basisOn(book, on) ?? { ...book, tax_profiles: basis.tax_profiles }
  return { ...basis, ...Object.fromEntries(parts.map((part) => [part, current[part]])) }
}
