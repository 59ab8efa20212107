/** Days on which the shop works. Twin: `shopapi/parts/rules/business_days.py`; both run `fixtures/parts/promises.json`. */

import { type ShopCalendar, WEEK_DAYS } from '../contract.ts'
import { type Day, daysAfter, daysBetween } from '../time.ts'

const LONGEST_CLOSED = 3 * 366

export type IsOpen = (day: Day) => boolean

/** When the shop works by its calendar, without these public holidays. */
export function openDaysOf(calendar: ShopCalendar, holidays: readonly Day[]): IsOpen {
  const closed = new Set(holidays)
  return (day) =>
    calendar.open_on.some((name) => name === WEEK_DAYS[weekday(day)]) &&
    !closed.has(day) &&
    !calendar.closed.some(({ first, last }) => first <= day && day <= last)
}

/** Monday is 0. */
const weekday = (day: Day): number => (new Date(`${day}T00:00:00Z`).getUTCDay() + 6) % 7

/**
 * The business day so many after a day, or before it if negative. A day on which the shop is closed counts as the next
 * open one, going back as the one before. Null if the shop is closed for years.
 */
export function addBusinessDays(day: Day, count: number, isOpen: IsOpen): Day | null {
  const step = count >= 0 ? 1 : -1
  let at = nextOpen(day, step, isOpen)
  for (let n = 0; n < Math.abs(count) && at !== null; n += 1) at = nextOpen(daysAfter(at, step), step, isOpen)
  return at
}

function nextOpen(day: Day, step: number, isOpen: IsOpen): Day | null {
  for (let n = 0; n < LONGEST_CLOSED; n += 1) {
    const at = daysAfter(day, n * step)
    if (isOpen(at)) return at
  }
  return null
}

/** How many business days from the first day up to the last, which is not counted. */
export function businessDaysBetween(first: Day, last: Day, isOpen: IsOpen): number {
  const days = Array.from({ length: Math.max(0, daysBetween(first, last)) }, (_, n) => daysAfter(first, n))
  return days.filter(isOpen).length
}
