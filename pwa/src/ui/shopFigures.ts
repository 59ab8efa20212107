import { computed } from '@preact/signals'
import { figuresFor } from '../domain/figures'
import { type Day, dayIn } from '../domain/time'
import { shop } from '../store/shop'

const zone = computed(() => shop.value?.zone ?? Intl.DateTimeFormat().resolvedOptions().timeZone)

/** How this shop writes numbers, money and dates. */
export const figures = computed(() =>
  figuresFor(shop.value?.locale ?? navigator.language, shop.value?.currency ?? 'USD', zone.value),
)

/** The day it is at the shop. */
export function today(): Day {
  return dayIn(zone.value, Date.now())
}
