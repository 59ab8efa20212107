import type { PartNeed } from '../../../domain/contract'
import { needsToOrder } from '../../../store/partOrders'
import { permissions } from '../../../store/session/session'
import type { Route } from '../../router'

/**
 * Where those of these parts that nobody has ordered are put on an order, one supplier after the other. Undefined: none of
 * them is to be ordered, or this member may not.
 */
export function orderRoute(needs: readonly PartNeed[]): Route | undefined {
  const ids = new Set(needs.map(({ id }) => id))
  const first = needsToOrder.value.find(({ id }) => ids.has(id))
  if (!first || !permissions.value.has('order_parts')) return undefined
  return { at: 'order-parts', ...(first.supplier_id && { supplierId: first.supplier_id }) }
}
