/**
 * What a customer is asked: the lines of one work are one yes or no.
 *
 * Twin: `shopapi/quotes/rules/questions.py`; both run the vectors of `fixtures/pricing/questions.json`.
 */

import type { FindingRank, LineKind } from '../contract.ts'
import { type Minor, sum } from '../numbers/money.ts'
import { isAsked, ranksWith } from './lines.ts'

/** What a question is made from: a line of an offer document. */
interface OfferLine {
  readonly id: string
  readonly kind: LineKind
  readonly rank: FindingRank
  readonly words: string
  readonly amount_minor: Minor
  readonly later_minor?: Minor
  readonly belongs_to?: string
  readonly apart?: boolean
  readonly agreed?: boolean
}

/** One yes or no. `key` names it: the id of the line that its lines belong to, or of its only one. */
export interface Question<L extends OfferLine = OfferLine> {
  readonly key: string
  /** The most pressing of its lines. */
  readonly rank: FindingRank
  /** The words of its labor, or of its first line where it has none. */
  readonly title: string
  readonly lines: readonly L[]
  readonly amount: Minor
  /** What it comes to if done later; null where no line of it names a price for then. */
  readonly later: Minor | null
  /** The titles of questions about the same work: yes to some of them alone may leave the work undone. */
  readonly apartFrom: readonly string[]
}

/** The questions of an offer in the order of their first lines. Discounts and agreed costs are not asked. */
export function questionsOf<L extends OfferLine>(lines: readonly L[]): Question<L>[] {
  const groups = new Map<string, [L, ...L[]]>()
  for (const line of lines.filter(isAsked)) {
    const key = line.apart ? line.id : workOf(line)
    const own = groups.get(key)
    if (own) own.push(line)
    else groups.set(key, [line])
  }
  return [...groups].map(([key, own]) => ({
    key,
    rank: ranksWith(own).find((rank) => own.some((line) => line.rank === rank)) ?? own[0].rank,
    title: titleOf(own),
    lines: own,
    amount: sum(own.map(({ amount_minor }) => amount_minor)),
    later: own.some(({ later_minor }) => later_minor !== undefined)
      ? sum(own.map(({ later_minor, amount_minor }) => later_minor ?? amount_minor))
      : null,
    apartFrom: [...groups]
      .filter(([other, [first]]) => other !== key && workOf(first) === workOf(own[0]))
      .map(([, others]) => titleOf(others)),
  }))
}

/** A line by itself, as if it were asked. */
export const aloneOf = <L extends OfferLine>(line: L): Question<L> => ({
  key: line.id,
  rank: line.rank,
  title: line.words,
  lines: [line],
  amount: line.amount_minor,
  later: line.later_minor ?? null,
  apartFrom: [],
})

const workOf = ({ id, belongs_to }: OfferLine): string => belongs_to ?? id

const titleOf = (lines: readonly [OfferLine, ...OfferLine[]]): string =>
  (lines.find(({ kind }) => kind === 'labor') ?? lines[0]).words
