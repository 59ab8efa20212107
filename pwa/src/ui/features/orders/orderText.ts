import type { PartNeed, PartOrder, PartOrderLine } from '../../../domain/contract'
import { roundHalf } from '../../../domain/numbers/money'
import { quantityText } from '../../../domain/parts/stock'
import { shownName } from '../../../domain/provisionalMarks'
import { lineAnswers, orderStates, order as t, orders as words } from '../../../domain/words/partOrders'
import { job } from '../../../store/jobs'
import { needOfLine, receivedOfOrder, type stillToCome, unsentMail } from '../../../store/partOrders'
import { places } from '../../../store/stock'
import { supplier } from '../../../store/suppliers'
import type { ToOrder } from '../../../store/toOrder'
import { format, today } from '../../shopFormat'

/** "2 × Deck belt". */
export const countText = ({
  quantity = '1',
  description = '',
  number = '',
}: Partial<Pick<PartOrderLine, 'quantity' | 'description' | 'number'>>) =>
  `${format.value.number(quantity)} × ${description || number}`

/** "order today", or "order by Fri, Dec 4"; empty where nobody can tell. */
export const orderByText = ({ orderBy }: Pick<ToOrder, 'orderBy'>): string =>
  orderBy ? (orderBy <= today() ? words.orderToday : words.orderBy(format.value.weekday(orderBy))) : ''

/** The state of an order; one whose mail did not go out is not said to be sent. */
export const stateText = (row: PartOrder): string => (unsentMail(row) ? t.notSent : orderStates[row.state])

export const supplierName = ({ supplier_id }: Pick<PartOrder, 'supplier_id'>): string =>
  supplier(supplier_id)?.name ?? ''

/** The job that a need is for: "J-1042". */
export const jobOfNeed = (need: PartNeed | undefined): string => {
  const of = need && job(need.job_id)
  return of ? shownName(of) : ''
}

/** What is to be known of a line in a list: its number, its answer and day, its job, its price. */
export function lineDetails(line: PartOrderLine, isSent: boolean): string {
  return [
    line.description && line.number,
    isSent && lineAnswers[line.answer],
    line.promised_on && format.value.day(line.promised_on),
    jobOfNeed(needOfLine(line)),
    line.cost_minor !== null && t.each(format.value.money(line.cost_minor)),
  ]
    .filter(Boolean)
    .join(', ')
}

/** A count that is a fraction, as the shop writes it. */
export function countOf(count: ReturnType<typeof stillToCome>): string {
  return format.value.number(quantityText(count))
}

/** What came of an order in good condition, at the price paid or else ordered at, in whole minor units. */
export const receivedMinor = ({ id }: PartOrder): number => roundHalf(receivedOfOrder(id), 'half_away')

/** Where parts for the stock are put, unless another place is chosen. */
export const usualPlace = () => places().find(({ kind }) => kind === 'shelf') ?? places()[0]
