/** On which day each part must be ordered at the latest. Twin: `shopapi/quotes/queries/need_by.py`. */
import { computed } from '@preact/signals'
import { STARTING_CALENDAR } from '../domain/contract'
import { type IsOpen, openDaysOf } from '../domain/parts/businessDays'
import { daysForAll } from '../domain/parts/leadTimes'
import { latestOrderDay } from '../domain/parts/needBy'
import { type Day, dayIn } from '../domain/time'
import { job } from './jobs'
import { hoursAfterParts } from './needBy'
import { needsToOrder } from './partOrders'
import { leadTimeOfSupplier } from './promises'
import { shop } from './shop'

/** The last day on which each part that nobody ordered can be, by need; none where nobody can tell. */
export const latestOrderDays = computed(() => {
  const zone = shop.value?.zone ?? 'UTC'
  const calendar = shop.value?.calendar ?? STARTING_CALENDAR
  const isOpen = openDaysOf(calendar, shop.value?.holidays ?? [])
  const today = dayIn(zone, Date.now())
  const found = new Map<string, Day>()
  for (const { id, job_id, supplier_id } of needsToOrder.value) {
    const promised = job(job_id)?.promised_on
    const leadDays =
      promised && supplier_id
        ? leadDaysOf(supplier_id, today, isOpen, calendar.promise_percent / 100)
        : undefined
    if (!promised || leadDays == null) continue
    const day = latestOrderDay(promised, hoursAfterParts(job_id).get(id) ?? 0, leadDays, isOpen)
    if (day) found.set(id, day)
  }
  return found
})

/** In how many business days a part from a supplier is there with this chance; null where nobody can tell. */
function leadDaysOf(supplier: string, today: Day, isOpen: IsOpen, share: number): number | null {
  const leadTime = leadTimeOfSupplier(supplier, today, isOpen)
  return leadTime && daysForAll([{ supplier, leadTime, waited: 0, notBefore: 0 }], share)
}
