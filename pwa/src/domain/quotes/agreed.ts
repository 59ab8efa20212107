/**
 * What the customer agreed to on a job, and how far the work is beyond it.
 *
 * What counts as beyond is explained in the twin, `shopapi/quotes/rules/agreed.py`; both run the vectors of
 * `fixtures/pricing/agreed.json`.
 */

import { over as dividedBy, exact } from '../numbers/decimal.ts'
import { type Minor, percentOf, roundHalf, sum } from '../numbers/money.ts'
import type { ShopPrices } from './book.ts'
import type { WrittenDiscount, WrittenLine } from './lines.ts'
import type { Successors } from './matching.ts'
import { laborRate, priceLine } from './prices.ts'
import { finder } from './progress.ts'
import { computeTotals } from './totals.ts'

const HOUR = 3600

/** A decided quote as offered, and which of its lines were accepted. */
export interface AgreedQuote {
  readonly book: ShopPrices
  readonly lines: readonly WrittenLine[]
  readonly accepted: ReadonlySet<string>
  readonly discount: WrittenDiscount | null
  readonly exempt: boolean
}

/** Time clocked on the job. */
export interface WorkedTime {
  readonly kind: 'repair' | 'diagnosis'
  readonly member_id: string
  readonly line_id: string | null
  readonly operation: string
  readonly seconds: number
}

/** What was agreed, with tax; by the price book, how far work is beyond it and how far it may be. */
export interface AgreedWork {
  readonly total: Minor
  readonly over: Minor
  readonly allowed: Minor
  /** How far the work is beyond what was agreed and allowed; above 0 the customer has to be asked. */
  readonly beyond: Minor
}

/**
 * Compares the work on a job with what its customer agreed to. `book` prices work that no line covers; `successors`: the
 * lines that replaced those of replaced quotes.
 */
export function agreedWork(
  quotes: readonly AgreedQuote[],
  worked: readonly WorkedTime[],
  book: ShopPrices,
  successors: Successors,
  partsOver: Minor = 0,
): AgreedWork {
  let total = 0
  let allowed = 0
  const labor: { id: string; operation: string; accepted: boolean; book: ShopPrices; line: WrittenLine }[] =
    []
  for (const { book: own, lines, accepted, discount, exempt } of quotes) {
    const totals = computeTotals(own, lines, { accepted, discount, exempt })
    total += totals.total_minor
    const tolerance = percentOf(totals.subtotal_minor, own.tolerance_percent)
    allowed += Math.max(0, roundHalf(tolerance, own.rounding))
    for (const line of lines)
      if (line.kind === 'labor' && accepted.has(line.id))
        labor.push({ id: line.id, operation: line.operation ?? '', accepted: true, book: own, line })
  }
  const lineOf = finder(labor, successors)
  const onLines = new Map<string, number>()
  const onNone = new Map<string, number>()
  for (const { kind, member_id, line_id, operation, seconds } of worked) {
    const id = lineOf(line_id, operation)
    if (id !== undefined) onLines.set(id, (onLines.get(id) ?? 0) + seconds)
    else if (kind === 'repair') onNone.set(member_id, (onNone.get(member_id) ?? 0) + seconds)
  }
  const over =
    partsOver +
    sum(labor.map((each) => pastHours(each.book, each.line, onLines.get(each.id) ?? 0))) +
    sum([...onNone].map(([member_id, seconds]) => atRate(book, member_id, seconds)))
  return { total, over, allowed, beyond: Math.max(0, over - allowed) }
}

function pastHours(book: ShopPrices, line: WrittenLine, seconds: number): Minor {
  const price = priceLine(book, line)
  return price?.unit == null ? 0 : Math.max(0, worth(book, price.unit, seconds) - price.gross)
}

function atRate(book: ShopPrices, member_id: string, seconds: number): Minor {
  const asked: WrittenLine = { id: '', position: 0, kind: 'labor', rank: 'needed', words: '', member_id }
  const rate = laborRate(book, asked)
  return rate ? worth(book, rate.minor_per_hour, seconds) : 0
}

function worth(book: ShopPrices, minor_per_hour: Minor, seconds: number): Minor {
  return roundHalf(dividedBy(exact(seconds * minor_per_hour), exact(HOUR)), book.rounding)
}
