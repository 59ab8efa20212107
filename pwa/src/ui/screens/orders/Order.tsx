import type { PartOrder, PartOrderLine } from '../../../domain/contract'
import { smsLink } from '../../../domain/geo/places'
import { compare, exact } from '../../../domain/numbers/decimal'
import { linesText } from '../../../domain/parts/orderText'
import { shownName } from '../../../domain/provisionalMarks'
import { order as t } from '../../../domain/words/partOrders'
import { noticesAbout } from '../../../store/notices'
import { linesOfOrder, linesToCome, partOrder, stillToCome, unsentMail } from '../../../store/partOrders'
import { permissions } from '../../../store/session/session'
import { supplier } from '../../../store/suppliers'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Badge, Section } from '../../components/Section'
import { NoticeRow } from '../../features/messages/NoticeRow'
import { FetchOnRun } from '../../features/orders/FetchOnRun'
import { countOf, countText, lineDetails, stateText, supplierName } from '../../features/orders/orderText'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { OrderActions } from './OrderActions'
import { OrderFacts } from './OrderFacts'

/** One order: what is on it, what is still to come, and what comes next. */
export function Order({ id }: { id: string }) {
  const row = partOrder(id)
  if (!row) return <NotFound />
  const lines = linesOfOrder(id)
  const notices = noticesAbout([id])
  return (
    <ShopPage
      overline={supplierName(row)}
      title={shownName(row)}
      badge={<Badge text={stateText(row)} />}
      back={{ at: 'orders' }}
      dock={<NextAct row={row} lines={lines} />}
    >
      {unsentMail(row) && <NotSent row={row} />}
      <OrderFacts row={row} />
      <Section title={t.lines} end={lines.length}>
        <List items={lines} keyOf={({ id }) => id} empty={t.empty}>
          {(line) => <LineRow line={line} order={row} />}
        </List>
      </Section>
      {notices.length > 0 && (
        <List items={notices} keyOf={({ id }) => id} empty="">
          {(notice) => <NoticeRow row={notice} />}
        </List>
      )}
      {linesToCome(id).length > 0 && <FetchOnRun supplierId={row.supplier_id} />}
      <OrderActions row={row} lines={lines} />
    </ShopPage>
  )
}

/** That the mail of an order did not go out, and the other ways: its own buttons and those of the message below. */
function NotSent({ row }: { row: PartOrder }) {
  const to = supplier(row.supplier_id)
  const text = linesText(linesOfOrder(row.id), to?.customer_number ?? '', row.note)
  return (
    <Section title={t.notSent}>
      <p class="multiline">{t.notSentHint}</p>
      {to?.phone && (
        <ButtonRow>
          <Button label={t.asMessage} href={smsLink(to.phone, `${shownName(row)}\n${text}`)} />
        </ButtonRow>
      )}
    </Section>
  )
}

function LineRow({ line, order }: { line: PartOrderLine; order: PartOrder }) {
  const isSent = order.state !== 'draft' && order.state !== 'cancelled'
  const open = stillToCome(line)
  const isHere =
    compare(open, exact(0)) === 0 && line.answer !== 'dropped' && line.answer !== 'no_longer_made'
  return (
    <ListItem
      to={{ at: 'part-order-line', id: line.id }}
      title={countText(line)}
      details={lineDetails(line, isSent)}
      value={isSent && (isHere ? t.here : compare(open, exact(0)) > 0 && t.open(countOf(open)))}
    />
  )
}

/** Sending a draft; after that, recording what came. */
function NextAct({ row, lines }: { row: PartOrder; lines: readonly PartOrderLine[] }) {
  const may = permissions.value.has('order_parts')
  if (row.state === 'draft' && may) {
    return lines.length > 0 ? (
      <PrimaryButton label={t.send} to={{ at: 'part-order-send', id: row.id }} />
    ) : (
      <PrimaryButton label={t.add} to={{ at: 'part-order-add', id: row.id }} />
    )
  }
  return linesToCome(row.id).length > 0 ? (
    <PrimaryButton label={t.arrived} to={{ at: 'part-arrivals', orderId: row.id }} />
  ) : null
}
