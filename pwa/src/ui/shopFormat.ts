import { computed } from '@preact/signals'
import type { Language } from '../domain/contract'
import { numberFormatsFor } from '../domain/numbers/formats'
import { type Day, dayIn, type Moment } from '../domain/time'
import { localeFor } from '../domain/words/reader/locale'
import { syncSummary } from '../store/queue/queue'
import { shop } from '../store/shop'
import { readerLanguage } from './readerLanguage'

/** The shop's IANA zone, in which days and times are shown. */
export const zone = computed(() => shop.value?.zone ?? Intl.DateTimeFormat().resolvedOptions().timeZone)

const locale = () => shop.value?.locale ?? navigator.language
const formatIn = (tag: string) => numberFormatsFor(tag, shop.value?.currency ?? 'USD', zone.value)

/** As `format`, in the language of somebody else, such as the reader of a message. */
export const formatFor = (language: Language) => formatIn(localeFor(locale(), language))

/** Formats numbers, money, dates and times by the shop's locale, currency and zone, for whoever holds the phone. */
export const format = computed(() => formatFor(readerLanguage.value))

/** The format in which members type, also while the customer holds the phone. */
export const typedFormat = computed(() => formatIn(locale()))

const STALE_MS = 10 * 60_000

/** How long ago the last sync was, in words; null while it is under ten minutes. */
export function lastSyncAge(): string | null {
  const { last_synced_at } = syncSummary.value
  if (!last_synced_at) return null
  const then = Date.parse(last_synced_at)
  return Date.now() - then < STALE_MS ? null : format.value.since(then, Date.now())
}

/** The day of an instant in the shop's zone. */
export const dayOf = (at: Moment): Day => dayIn(zone.value, Date.parse(at))

/** Today's date in the shop's zone. */
export function today(): Day {
  return dayIn(zone.value, Date.now())
}
