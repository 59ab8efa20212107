/** The lines of an offer document (`offer.ts`) by themselves. Twin: `shopapi/quotes/rules/offer.py`. */

import { plainDecimal } from '../numbers/decimal.ts'
import type { ShopPrices } from './book.ts'
import type { WrittenLine } from './lines.ts'
import { type computeTotals, isDiagnosisFee } from './totals.ts'

/** The lines as the customer is shown them, each with its prices. */
export function offeredLines(
  book: ShopPrices,
  lines: readonly WrittenLine[],
  totals: ReturnType<typeof computeTotals>,
) {
  return totals.lines.map((price, at) => {
    const line = lines[at] as WrittenLine
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
      ...(line.belongs_to_id != null && { belongs_to: line.belongs_to_id }),
      ...(line.apart && { apart: true }),
      ...(line.agreed && { agreed: true }),
    }
  })
}

export type OfferLine = ReturnType<typeof offeredLines>[number]

/** Quantity and unit of a line as texts; both are empty where it has a price for the whole. */
function counted(book: ShopPrices, line: WrittenLine): { quantity: string; unit: string } {
  const byZone = line.kind === 'travel' && book.travel.mode === 'zone'
  const byBook = isDiagnosisFee(line) && line.unit_price_minor == null
  if (line.fixed_minor != null || byZone || byBook || line.kind === 'discount')
    return { quantity: '', unit: '' }
  if (line.kind === 'labor') return { quantity: plainDecimal(line.hours ?? '1'), unit: 'h' }
  if (line.kind === 'travel') return { quantity: plainDecimal(line.distance ?? '1'), unit: book.travel.unit }
  return { quantity: plainDecimal(line.quantity ?? '1'), unit: 'each' }
}
