// What is at a place, and what has to be ordered. Twin: `shopapi/parts/rules/stock.py`; both run
// `fixtures/parts/stock.json`.

import type { StockMove } from '../contract.ts'
import {
  compare,
  type DecimalText,
  type Exact,
  exact,
  minus,
  plainDecimal,
  plus,
} from '../numbers/decimal.ts'

export type LevelMove = Pick<StockMove, 'id' | 'moved_at' | 'quantity' | 'counted_level'>

/** Six places after the point hold every quantity. */
const PLACES = 1_000_000n
const ZERO = exact(0)

/** By when they happened; at one instant by id. */
const byTime = (a: LevelMove, b: LevelMove) =>
  Date.parse(a.moved_at) - Date.parse(b.moved_at) || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0)

/**
 * How many of one part are at one place: the last count, then every move since by the time it happened. So the order in
 * which phones send their moves does not matter. Below zero: more was taken than was known to be there.
 */
export function levelOf(moves: readonly LevelMove[]): DecimalText {
  let level = ZERO
  for (const { quantity, counted_level } of [...moves].sort(byTime))
    level = counted_level === null ? plus(level, exact(quantity)) : exact(counted_level)
  return quantityText(level)
}

/** How many to order so that the minimum of a part is kept. */
export function missingToMinimum(
  on_hand: DecimalText,
  on_order: DecimalText,
  minimum: DecimalText,
): DecimalText {
  const there = exact(on_hand)
  const missing = minus(minus(exact(minimum), compare(there, ZERO) < 0 ? ZERO : there), exact(on_order))
  return compare(missing, ZERO) < 0 ? '0' : quantityText(missing)
}

export const sumOf = (amounts: readonly DecimalText[]): DecimalText =>
  quantityText(amounts.reduce((sum, each) => plus(sum, exact(each)), ZERO))

export const differenceOf = (a: DecimalText, b: DecimalText): DecimalText =>
  quantityText(minus(exact(a), exact(b)))

/** The quantity with the opposite sign: what leaves a place for another. */
export const oppositeOf = (amount: DecimalText): DecimalText => differenceOf('0', amount)

/** A quantity as decimal text. */
export function quantityText({ n, d }: Exact): DecimalText {
  const scaled = (n * PLACES) / d
  const digits = (scaled < 0n ? -scaled : scaled).toString().padStart(7, '0')
  return plainDecimal(`${scaled < 0n ? '-' : ''}${digits.slice(0, -6)}.${digits.slice(-6)}`)
}
