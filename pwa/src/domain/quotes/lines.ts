/**
 * Quote lines and discounts as they are written, before any calculation.
 *
 * What each field means is described in the twin, `shopapi/quotes/rules/lines.py`. A figure that is left
 * out is null.
 */
import { type DiscountInput, type FindingRank, LINE_FIGURES, type PutLine, RANKS } from '../contract.ts'

/** A line as it is written; the server also says of which quote and finding it is. */
export type WrittenLine = Omit<PutLine, 'quote_id' | 'finding_id'>
/** Off the whole quote: a percentage or an amount, not both. */
export type WrittenDiscount = DiscountInput

export const ALL_FIGURES: ReadonlySet<keyof WrittenLine> = new Set(Object.values(LINE_FIGURES).flat())

/** Every rank in order, then those of the lines that only a newer server knows: no line is left out of a list by rank. */
export const ranksWith = (lines: readonly { readonly rank: FindingRank }[]): FindingRank[] => [
  ...new Set([...RANKS, ...lines.map(({ rank }) => rank)]),
]

/** The order that decides ties, whatever order the lines came in. */
export function inOrder<L extends WrittenLine>(lines: readonly L[]): L[] {
  return lines.toSorted((a, b) => a.position - b.position || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0))
}
