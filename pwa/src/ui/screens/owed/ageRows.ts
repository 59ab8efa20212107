import type { AgeBucket } from '../../../domain/billing/ageing'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import type { OpenAmount } from '../../../store/owed'

export const sumOf = (amounts: readonly OpenAmount[]) => amounts.reduce((sum, { minor }) => sum + minor, 0)

export const inBucket = (amounts: readonly OpenAmount[], bucket: AgeBucket) =>
  amounts.filter((each) => each.bucket === bucket)

/** Customers with the largest sum first. */
export function byCustomer(amounts: readonly OpenAmount[]) {
  const rows = new Map<string, OpenAmount[]>()
  for (const each of amounts) rows.set(each.customer_id, [...(rows.get(each.customer_id) ?? []), each])
  return [...rows]
    .map(([id, own]) => ({ id, own, name: customer(id)?.name || en.app.noName, sum: sumOf(own) }))
    .sort((a, b) => b.sum - a.sum || (a.name < b.name ? -1 : 1))
}
