/**
 * Orders of parts: what is still to come of a line, and the states that follow.
 *
 * Twin: `shopapi/parts/rules/orders.py` and `arrivals.py`; both run `fixtures/parts/orders.json`.
 */
import type { ArrivalCondition, LineAnswer, OrderState, PartState } from '../contract.ts'
import { compare, type DecimalText, type Exact, exact, minus, plus } from '../numbers/decimal.ts'

/** An arrival as the sums read it. */
export interface Arrived {
  readonly id: string
  readonly quantity: DecimalText
  readonly condition: ArrivalCondition
  readonly undoes_id: string | null
}

/** A line as far as the state of its order asks. */
export interface LineStatus {
  readonly quantity: DecimalText
  readonly answer: LineAnswer
  readonly good: Exact
}

const NONE = exact(0)
const NOTHING_TO_COME: readonly LineAnswer[] = ['no_longer_made', 'dropped']

/** The arrivals that count: neither undone nor undoing another. */
export function countedArrivals<Row extends Arrived>(arrivals: readonly Row[]): Row[] {
  const undone = new Set(arrivals.map(({ undoes_id }) => undoes_id))
  return arrivals.filter(({ id, undoes_id }) => undoes_id === null && !undone.has(id))
}

/** How many came in good condition. */
export function goodOf(arrivals: readonly Arrived[]): Exact {
  return countedArrivals(arrivals)
    .filter(({ condition }) => condition === 'good')
    .reduce((sum, { quantity }) => plus(sum, exact(quantity)), NONE)
}

/** How many are still to come. Wrong and damaged ones are still owed; too many leave nothing. */
export function openOf({ quantity, answer, good }: LineStatus): Exact {
  const open = minus(exact(quantity), good)
  return NOTHING_TO_COME.includes(answer) || compare(open, NONE) < 0 ? NONE : open
}

export const isOpen = (line: LineStatus): boolean => compare(openOf(line), NONE) > 0

/** The state of an order once something of its lines changed; that of a draft or a cancelled order stays. */
export function orderStateAfter(state: OrderState, lines: readonly LineStatus[]): OrderState {
  if (state === 'draft' || state === 'cancelled') return state
  const open = lines.filter(isOpen)
  if (open.length === 0) return 'closed'
  return open.every(({ answer }) => answer !== 'open') ? 'confirmed' : 'sent'
}

const NEED_STATES: { readonly [answer in LineAnswer]?: PartState } = {
  back_ordered: 'back_ordered',
  no_longer_made: 'no_longer_made',
  dropped: 'wanted',
}

/** The state of the need of a line, by that of its order. */
export function needStateFor(state: OrderState, line: LineStatus): PartState {
  if (compare(line.good, exact(line.quantity)) >= 0) return 'arrived'
  if (state === 'draft' || state === 'cancelled') return 'wanted'
  return NEED_STATES[line.answer] ?? 'ordered'
}

/** What became of a need in another way, such as fitted from stock, is not changed by its order. */
export const followsItsOrder = (state: PartState): boolean =>
  ['wanted', 'ordered', 'back_ordered', 'no_longer_made', 'arrived'].includes(state)
