/**
 * Quote lines and discounts as entered, before any calculation.
 *
 * The fields are explained in the twin, `shopapi/quotes/rules/lines.py`. An omitted figure is null.
 */
import { type DiscountInput, type FindingRank, LINE_FIGURES, type PutLine, RANKS } from '../contract.ts'

/** A line as entered; the server's row also has its quote and finding. */
export type WrittenLine = Omit<PutLine, 'quote_id' | 'finding_id'>
/** A discount on the whole quote: a percentage or an amount, not both. */
export type WrittenDiscount = DiscountInput

export const ALL_FIGURES: ReadonlySet<keyof WrittenLine> = new Set(Object.values(LINE_FIGURES).flat())

/** Whether the customer says yes or no to a line; the others always count. */
export const isAsked = ({ kind, agreed }: Pick<WrittenLine, 'kind' | 'agreed'>): boolean =>
  kind !== 'discount' && !agreed

/** What names the question that a line is part of: lines of the same are accepted or declined together. */
export const questionOf = ({ id, belongs_to_id, apart }: WrittenLine): string =>
  apart ? id : (belongs_to_id ?? id)

/** Every rank in order, then ranks of lines that only a newer server knows, so that a list by rank has every line. */
export const ranksWith = (lines: readonly { readonly rank: FindingRank }[]): FindingRank[] => [
  ...new Set([...RANKS, ...lines.map(({ rank }) => rank)]),
]

/** The lines in the order that decides ties. */
export function inOrder<L extends WrittenLine>(lines: readonly L[]): L[] {
  return lines.toSorted((a, b) => a.position - b.position || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0))
}
