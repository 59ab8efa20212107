import { computed } from '@preact/signals'
import type { CatalogPart, PartNeed } from '../domain/contract'
import type { Day } from '../domain/time'
import { latestOrderDays } from './orderDays'
import { needsToOrder, type OrderedPart } from './partOrders'
import { allOf, byAge, compare } from './rows/selectors'
import { missingOf } from './stock'

/** A part that is to be ordered: for a job that wants it, or for the shelf. */
export interface ToOrder {
  readonly id: string
  readonly supplier_id: string | null
  readonly part: OrderedPart
  readonly need?: PartNeed
  /** The last day to order it for the day promised; none where nobody can tell. */
  readonly orderBy?: Day | undefined
}

const fromNeed = (need: PartNeed): ToOrder => ({
  id: need.id,
  supplier_id: need.supplier_id,
  need,
  orderBy: latestOrderDays.value.get(need.id),
  part: {
    need_id: need.id,
    catalog_part_id: need.catalog_part_id,
    number: need.superseded_by || need.number,
    description: need.description,
    quantity: need.quantity,
    cost_minor: need.cost_minor,
    core_minor: need.core_minor,
  },
})

const forShelf = (row: CatalogPart): ToOrder => ({
  id: row.id,
  supplier_id: row.supplier_id,
  part: {
    catalog_part_id: row.id,
    number: row.superseded_by || row.number,
    description: row.description,
    quantity: missingOf(row),
    cost_minor: row.cost_minor,
    core_minor: row.core_minor,
  },
})

/** What jobs want and nobody has ordered, the most urgent first, then what is below its minimum in stock. */
export const toOrder = computed((): ToOrder[] => [
  ...needsToOrder.value.map(fromNeed).toSorted((a, b) => compare(a.orderBy ?? '9999', b.orderBy ?? '9999')),
  ...allOf('catalog_part')
    .filter((row) => !row.archived && missingOf(row) !== '0')
    .sort(byAge)
    .map(forShelf),
])

/** What is to be ordered, by supplier id; those without one under ''. */
export const toOrderBySupplier = computed(() => {
  const found = new Map<string, ToOrder[]>()
  for (const each of toOrder.value) {
    const of = each.supplier_id ?? ''
    found.set(of, [...(found.get(of) ?? []), each])
  }
  return found
})
