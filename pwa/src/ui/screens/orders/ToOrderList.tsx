import { orders as t } from '../../../domain/words/partOrders'
import { permissions } from '../../../store/session/session'
import { supplier } from '../../../store/suppliers'
import { type ToOrder, toOrderBySupplier } from '../../../store/toOrder'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { orderByText } from '../../features/orders/orderText'

type Group = readonly [supplier_id: string, parts: readonly ToOrder[]]

/** What is to be ordered by supplier, for who may order. */
export const groupsToOrder = (): readonly Group[] =>
  permissions.value.has('order_parts') ? [...toOrderBySupplier.value] : []

export function ToOrderList({ groups }: { groups: readonly Group[] }) {
  if (!groups.length) return null
  return (
    <Section title={t.toOrder} end={groups.reduce((sum, [, parts]) => sum + parts.length, 0)}>
      <List items={groups} keyOf={([id]) => id} empty="">
        {([id, parts]) => (
          <ListItem
            to={{ at: 'order-parts', ...(id && { supplierId: id }) }}
            title={supplier(id)?.name ?? t.noSupplier}
            details={[urgency(parts), parts.map(({ part }) => part.description).join(', ')]
              .filter(Boolean)
              .join(' · ')}
            value={t.parts(parts.length)}
          />
        )}
      </List>
    </Section>
  )
}

/** "order today", or by when the first of these parts must be ordered; empty where nobody can tell. */
const urgency = ([first]: readonly ToOrder[]) => first && orderByText(first)
