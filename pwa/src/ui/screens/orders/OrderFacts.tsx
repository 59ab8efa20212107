import type { PartOrder } from '../../../domain/contract'
import { orderedBy, order as t } from '../../../domain/words/partOrders'
import { permissions } from '../../../store/session/session'
import { DescriptionList } from '../../components/Section'
import { receivedMinor } from '../../features/orders/orderText'
import { format } from '../../shopFormat'

/** When and how an order was sent, what was promised, and the supplier's bill. */
export function OrderFacts({ row }: { row: PartOrder }) {
  const { day, moment, money } = format.value
  const received = permissions.value.has('see_cost') ? receivedMinor(row) : 0
  const bill = t.billText(row.bill_number, row.bill_minor === null ? '' : money(row.bill_minor))
  return (
    <DescriptionList
      items={[
        [t.sent, row.sent_at && row.sent_how && t.sentHow(orderedBy[row.sent_how], moment(row.sent_at))],
        [t.promised, row.promised_on && day(row.promised_on)],
        [t.note, row.note],
        [t.received, received > 0 && money(received)],
        [t.bill, bill],
        [t.billDue, row.bill_due_on && day(row.bill_due_on)],
        [t.billPaid, row.bill_paid_on && day(row.bill_paid_on)],
      ]}
    />
  )
}
