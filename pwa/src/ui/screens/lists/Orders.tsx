import type { PartOrder } from '../../../domain/contract'
import { roundHalf } from '../../../domain/numbers/money'
import { shownName } from '../../../domain/provisionalMarks'
import { dayIn, daysBetween } from '../../../domain/time'
import { orderStates, orders, orderTable as t } from '../../../domain/words/partOrders'
import { linesOfOrder, linesToCome, valueOfOrder } from '../../../store/partOrders'
import { allOf, follow } from '../../../store/rows/selectors'
import { permissions } from '../../../store/session/session'
import type { TableOf } from '../../desk/table'
import { receivedMinor, stateText, supplierName } from '../../features/orders/orderText'
import { perRow } from '../../features/tables/perRow'
import { TablePlace } from '../../features/tables/TablePlace'
import { today, zone } from '../../shopFormat'

interface OrderLine {
  readonly order: PartOrder
  readonly supplier: string
  readonly parts: number
  readonly toCome: number
}

function orderLines(): OrderLine[] {
  follow('part_order_line', 'part_arrival', 'supplier')
  return allOf('part_order').map((order) => ({
    order,
    supplier: supplierName(order),
    parts: linesOfOrder(order.id).length,
    toCome: linesToCome(order.id).length,
  }))
}

const isOpen = ({ order: { state } }: OrderLine) => ['draft', 'sent', 'confirmed'].includes(state)
const seesCost = () => permissions.value.has('see_cost')

/** Days since the promised day of an order of which something is to come; 0 otherwise. */
const daysLate = ({ order: { promised_on }, toCome }: OrderLine) =>
  promised_on && toCome > 0 ? Math.max(0, daysBetween(promised_on, today())) : 0

const ordered = perRow(({ order }: OrderLine) =>
  seesCost() ? roundHalf(valueOfOrder(order.id), 'half_away') || null : null,
)
const received = perRow(({ order }: OrderLine) => (seesCost() ? receivedMinor(order) || null : null))

/** Whether the shop owes the supplier: a bill that was not paid, or parts that came before their bill. */
const isToPay = (line: OrderLine) =>
  line.order.bill_paid_on === null &&
  line.order.state !== 'cancelled' &&
  (line.order.bill_number !== '' || line.order.bill_minor !== null || (received(line) ?? 0) > 0)

const STATES = Object.keys(orderStates)

const ORDERS: TableOf<OrderLine> = {
  key: 'orders',
  title: t.title,
  rows: orderLines,
  idOf: ({ order }) => order.id,
  to: ({ order }) => ({ at: 'part-order', id: order.id }),
  columns: [
    { key: 'number', label: t.number, value: ({ order }) => shownName(order), width: 7 },
    { key: 'supplier', label: t.supplier, value: ({ supplier }) => supplier, width: 11, bold: true },
    {
      key: 'state',
      label: t.state,
      value: ({ order }) => stateText(order),
      rank: ({ order }) => STATES.indexOf(order.state),
      width: 7,
    },
    { key: 'parts', label: t.parts, kind: 'number', value: ({ parts }) => parts, width: 4, spare: true },
    { key: 'toCome', label: t.toCome, kind: 'number', value: ({ toCome }) => toCome, width: 5 },
    {
      key: 'promised',
      label: t.promised,
      kind: 'day',
      value: ({ order }) => order.promised_on,
      note: (line) => (daysLate(line) ? t.late(daysLate(line)) : ''),
      width: 8,
    },
    { key: 'received', label: t.received, kind: 'money', value: received, width: 6, slow: true, spare: true },
    {
      key: 'billAmount',
      label: t.billAmount,
      kind: 'money',
      value: ({ order }) => order.bill_minor,
      width: 6,
    },
    { key: 'due', label: t.due, kind: 'day', value: ({ order }) => order.bill_due_on, width: 7 },
    { key: 'bill', label: t.bill, value: ({ order }) => order.bill_number, width: 7, hidden: true },
    {
      key: 'paid',
      label: t.paid,
      kind: 'day',
      value: ({ order }) => order.bill_paid_on,
      width: 7,
      hidden: true,
    },
    { key: 'ordered', label: t.ordered, kind: 'money', value: ordered, width: 6, slow: true, hidden: true },
    {
      key: 'sent',
      label: t.sent,
      kind: 'day',
      value: ({ order }) => order.sent_at && dayIn(zone.value, Date.parse(order.sent_at)),
      width: 7,
      hidden: true,
    },
  ],
  views: [
    { key: 'open', label: t.open, has: isOpen },
    { key: 'draft', label: t.draft, has: ({ order }) => order.state === 'draft' },
    { key: 'late', label: t.lateView, has: (line) => daysLate(line) > 0 },
    { key: 'toPay', label: t.toPay, has: isToPay },
    { key: 'paid', label: t.paidView, has: ({ order }) => order.bill_paid_on !== null },
    { key: 'all', label: t.all, has: () => true },
  ],
  sort: { key: 'number', down: true },
  act: { label: orders.toOrderTitle, to: { at: 'to-order' } },
  onPhone: ({ order, supplier }) => ({
    title: supplier,
    details: [shownName(order), stateText(order)].join(', '),
  }),
}

/** All orders of parts and what is owed for them, at the desk. */
export const OrdersTable = ({ view }: { view?: string }) => <TablePlace table={ORDERS} view={view} />
