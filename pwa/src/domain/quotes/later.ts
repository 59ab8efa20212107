/**
 * The total of the same work done later, when the machine has to be taken apart again.
 *
 * Twin: `shopapi/quotes/rules/later.py`, with a worked example; both agree on `fixtures/pricing/later.json`.
 */

import type { Minor } from '../numbers/money.ts'
import type { ShopPrices } from './book.ts'
import type { WrittenLine } from './lines.ts'
import { computeTotals, type Terms } from './totals.ts'

/**
 * The total, with tax, of these lines done later; null where no line that counts has a later price.
 *
 * A line with `later_minor` costs that amount; the others cost the same as now.
 */
export function laterTotal(book: ShopPrices, lines: readonly WrittenLine[], terms: Terms = {}): Minor | null {
  const counts = (id: string) => terms.accepted?.has(id) ?? true
  if (!lines.some(({ id, later_minor }) => later_minor != null && counts(id))) return null
  return computeTotals(book, lines.map(then), terms).total_minor
}

function then(line: WrittenLine): WrittenLine {
  if (line.later_minor == null) return line
  const { core_minor, discount_percent, discount_minor, ...rest } = line
  return { ...rest, fixed_minor: line.later_minor }
}
