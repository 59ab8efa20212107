/** When parts can be fetched at a supplier. Twin: `opening_times` in `shopapi/dispatch/queries/stop_facts.py`. */

import { type Supplier, WEEK_DAYS } from '../contract.ts'
import { msOfWallTime } from '../labor/clock.ts'
import { type Day, daysAfter } from '../time.ts'

/** A supplier that is closed on a day is open again within these days. */
const A_WEEK = 7

/** The hours from this day on for a week, in seconds since 1970; empty: not known, so always. */
export function openingTimes(
  { opens, closes, open_on }: Pick<Supplier, 'opens' | 'closes' | 'open_on'>,
  day: Day,
  zone: string,
): { opens: number; closes: number }[] {
  if (!opens && open_on.length === 0) return []
  const second = (on: Day, time: string) => (msOfWallTime(zone, { day: on, time }) ?? 0) / 1000
  return Array.from({ length: A_WEEK + 1 }, (_, at) => daysAfter(day, at))
    .filter((on) => open_on.length === 0 || open_on.some((name) => name === WEEK_DAYS[weekday(on)]))
    .map((on) => ({ opens: second(on, opens || '00:00'), closes: second(on, closes || '23:59') }))
}

/** Monday is 0. */
const weekday = (day: Day): number => (new Date(`${day}T00:00:00Z`).getUTCDay() + 6) % 7
