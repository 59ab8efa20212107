import { computed } from '@preact/signals'
import { figuresFor } from '../domain/figures'
import { type Day, dayIn } from '../domain/time'
import { status } from '../store/queue'
import { shop } from '../store/shop'

/** The zone of the shop, in which its days and times are shown. */
export const zone = computed(() => shop.value?.zone ?? Intl.DateTimeFormat().resolvedOptions().timeZone)

/** How this shop writes numbers, money and dates. */
export const figures = computed(() =>
  figuresFor(shop.value?.locale ?? navigator.language, shop.value?.currency ?? 'USD', zone.value),
)

const OLD_MS = 10 * 60_000

/** How long ago the server was last heard, in words, once that is long enough to matter. */
export function age(): string | null {
  const { last_synced_at } = status.value
  if (!last_synced_at) return null
  const then = Date.parse(last_synced_at)
  return Date.now() - then < OLD_MS ? null : figures.value.since(then, Date.now())
}

/** The day it is at the shop. */
export function today(): Day {
  return dayIn(zone.value, Date.now())
}
