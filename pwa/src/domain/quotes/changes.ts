/**
 * What a revision changes against the quote that was signed, and which answers it keeps.
 *
 * The rule is explained in the twin, `shopapi/quotes/rules/changes.py`; both run `fixtures/pricing/changes.json`.
 */

import { type Minor, sum } from '../numbers/money.ts'
import { content, match } from './matching.ts'
import type { OfferLine } from './offeredLines.ts'
import { aloneOf, type Question, questionsOf } from './questions.ts'

export type Change = 'same' | 'changed' | 'added' | 'removed'

/** A line of the revision, or one that was taken out, with its amount in the signed quote. */
export interface LineChange {
  readonly change: Change
  readonly line: OfferLine
  readonly before: Minor | null
}

/** A question of the revision, or one that was taken out; also a cost or a discount that is not asked. */
export interface QuestionChange {
  readonly change: Change
  readonly question: Question<OfferLine>
  /** Its amount in the signed quote; null where it is new. */
  readonly before: Minor | null
  /** The answer that it keeps. */
  readonly answer: 'yes' | 'no' | ''
  readonly lines: readonly LineChange[]
}

/**
 * The questions of a revision in order, then what is not asked, then what was taken out. `answers`: the ids of the lines
 * of the signed quote by answer.
 */
export function compareOffers(
  before: readonly OfferLine[],
  after: readonly OfferLine[],
  answers: { accepted: ReadonlySet<string>; declined: ReadonlySet<string> },
): QuestionChange[] {
  const matched = match(before, after)
  const old = itemsOf(before)
  const kept = new Set([...matched.values()].map(({ id }) => id))
  const told = new Set<string>()
  const found = itemsOf(after).map((item): QuestionChange => {
    const ids = new Set(item.lines.map(({ id }) => matched.get(id)?.id))
    const was = old.filter(({ lines }) => lines.some(({ id }) => ids.has(id)))
    // What was taken out of a work is told with the first question that is left of it.
    const gone = was
      .filter(({ key }) => !told.has(key))
      .flatMap((each) => each.lines.filter(({ id }) => !kept.has(id)))
    for (const { key } of was) told.add(key)
    const lines = [...item.lines.map((line) => lineChange(line, matched.get(line.id))), ...gone.map(takenOut)]
    const same =
      was.length === 1 &&
      was[0]?.lines.length === item.lines.length &&
      lines.every(({ change }) => change === 'same')
    const first = (same && was[0]?.lines[0]?.id) || ''
    return {
      change: same ? 'same' : was.length ? 'changed' : 'added',
      question: item,
      before: was.length ? sum(was.map(({ amount }) => amount)) : null,
      answer: isUnasked(item.lines[0])
        ? ''
        : answers.accepted.has(first)
          ? 'yes'
          : answers.declined.has(first)
            ? 'no'
            : '',
      lines,
    }
  })
  const removed = old
    .filter(({ lines }) => !lines.some(({ id }) => kept.has(id)))
    .map((question): QuestionChange => {
      return {
        change: 'removed',
        question,
        before: question.amount,
        answer: '',
        lines: question.lines.map(takenOut),
      }
    })
  return [...found, ...removed]
}

const isUnasked = (line: OfferLine | undefined) => line?.kind === 'discount' || line?.agreed === true

/** The questions, then each line that is not asked. */
const itemsOf = (lines: readonly OfferLine[]): Question<OfferLine>[] => [
  ...questionsOf(lines),
  ...lines.filter(isUnasked).map(aloneOf),
]

function lineChange(line: OfferLine, was: OfferLine | undefined): LineChange {
  if (!was) return { change: 'added', line, before: null }
  return { change: content(line) === content(was) ? 'same' : 'changed', line, before: was.amount_minor }
}

const takenOut = (line: OfferLine): LineChange => ({ change: 'removed', line, before: line.amount_minor })
