import type { PartOrder } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { ordersMenu } from '../../../domain/words/ordersMenu'
import { orders as t } from '../../../domain/words/partOrders'
import { finishedOrders, linesOfOrder, linesToCome, openOrders } from '../../../store/partOrders'
import { coresToReturn, openReturns, owedOfReturn } from '../../../store/partReturns'
import { PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { stateText, supplierName } from '../../features/orders/orderText'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'
import { groupsToOrder, ToOrderList } from './ToOrderList'

/** How many finished orders are listed: for a bill that comes after its parts. */
const FINISHED = 5

/** What is to be ordered over all jobs, what is to come, and what goes back. */
export function Orders() {
  const groups = groupsToOrder()
  const toCome = linesToCome()
  return (
    <ShopPage
      title={ordersMenu.title}
      {...(toCome.length > 0 && { dock: <PrimaryButton label={t.arrived} to={{ at: 'part-arrivals' }} /> })}
    >
      <ToOrderList groups={groups} />
      {(openOrders.value.length > 0 || groups.length === 0) && (
        <Section title={t.underWay}>
          <List items={openOrders.value} keyOf={({ id }) => id} empty={t.none} emptyHint={t.noneHint}>
            {(row) => <OrderRow row={row} />}
          </List>
        </Section>
      )}
      <ReturnsRow />
      {finishedOrders.value.length > 0 && (
        <Section title={t.finished}>
          <List items={finishedOrders.value.slice(0, FINISHED)} keyOf={({ id }) => id} empty="">
            {(row) => <OrderRow row={row} />}
          </List>
        </Section>
      )}
    </ShopPage>
  )
}

function OrderRow({ row }: { row: PartOrder }) {
  const lines = linesOfOrder(row.id)
  const open = linesToCome(row.id)
  return (
    <ListItem
      to={{ at: 'part-order', id: row.id }}
      title={`${shownName(row)}, ${supplierName(row)}`}
      details={[stateText(row), promisedText(row)].filter(Boolean).join(', ')}
      value={row.state === 'draft' ? t.parts(lines.length) : t.came(lines.length - open.length, lines.length)}
    />
  )
}

const promisedText = ({ promised_on }: PartOrder) =>
  promised_on && (promised_on < today() ? t.late : t.promised)(format.value.day(promised_on))

/** The way to what goes back to suppliers. */
export function ReturnsRow() {
  const toSend =
    openReturns.value.filter(({ state }) => state === 'to_send').length + coresToReturn.value.length
  const owed = openReturns.value.filter((row) => row.state === 'sent' && owedOfReturn(row) > 0).length
  return (
    <Section title={t.returns}>
      <ListItem to={{ at: 'part-returns' }} title={t.returnsRow} value={t.returnsCount(toSend, owed)} />
    </Section>
  )
}
