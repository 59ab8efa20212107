import type { PartReturn } from '../../../domain/contract'
import { compare, exact } from '../../../domain/numbers/decimal'
import { quantityText } from '../../../domain/parts/stock'
import { returns as t } from '../../../domain/words/partOrders'
import { partOrder } from '../../../store/partOrders'
import { type CoreOwed, coresToReturn, openReturns, owedOfReturn } from '../../../store/partReturns'
import { permissions } from '../../../store/session/session'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { countText, supplierName } from '../../features/orders/orderText'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'

/** What goes back to suppliers, and what of it they still have to refund. */
export function Returns() {
  const toSend = openReturns.value.filter(({ state }) => state === 'to_send')
  const sent = openReturns.value.filter(({ state }) => state === 'sent')
  const cores = coresToReturn.value
  const isEmpty = toSend.length + sent.length + cores.length === 0
  return (
    <ShopPage title={t.title} back={{ at: 'orders' }}>
      {isEmpty && (
        <List items={[]} keyOf={() => ''} empty={t.none} emptyHint={t.noneHint}>
          {() => null}
        </List>
      )}
      <ReturnRows title={t.toSend} rows={toSend} />
      {cores.length > 0 && (
        <Section title={t.cores} end={cores.length}>
          <List items={cores} keyOf={({ line }) => line.id} empty="">
            {(core) => <CoreRow core={core} />}
          </List>
        </Section>
      )}
      <ReturnRows title={t.toBeRefunded} rows={sent} />
    </ShopPage>
  )
}

function ReturnRows({ title, rows }: { title: string; rows: readonly PartReturn[] }) {
  if (rows.length === 0) return null
  const seesCost = permissions.value.has('see_cost')
  return (
    <Section title={title} end={rows.length}>
      <List items={rows} keyOf={({ id }) => id} empty="">
        {(row) => (
          <ListItem
            to={{ at: 'part-return', id: row.id }}
            title={countText(row)}
            details={[supplierName(row), t.reasons[row.reason]].filter(Boolean).join(', ')}
            value={seesCost && owedOfReturn(row) > 0 && t.owed(format.value.money(owedOfReturn(row)))}
          />
        )}
      </List>
    </Section>
  )
}

function CoreRow({ core: { line, quantity } }: { core: CoreOwed }) {
  const order = partOrder(line.order_id)
  const left = quantityText(quantity)
  return compare(quantity, exact(0)) > 0 ? (
    <ListItem
      to={{ at: 'new-part-return', lineId: line.id, reason: 'core' }}
      title={countText({ ...line, quantity: left })}
      details={order && supplierName(order)}
      value={format.value.money(Math.round(line.core_minor * Number(left)))}
    />
  ) : null
}
