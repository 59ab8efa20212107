/** A moment as `2026-11-25T09:23:34.120Z`; a day as `2026-11-25`. */
export type Moment = string
export type Day = string

export function moment(ms: number): Moment {
  return new Date(ms).toISOString()
}

/** The day it is in a zone (IANA name, such as `America/Boise`) at a moment in ms since 1970. */
export function dayIn(zone: string, ms: number): Day {
  const parts = calendarOf(zone).formatToParts(ms)
  const part = (type: string) => parts.find((found) => found.type === type)?.value ?? ''
  return `${part('year').padStart(4, '0')}-${part('month')}-${part('day')}`
}

const calendars = new Map<string, Intl.DateTimeFormat>()

/** Cached: creating a formatter takes many milliseconds on a phone, using it hardly any. */
function calendarOf(zone: string): Intl.DateTimeFormat {
  const known = calendars.get(zone)
  if (known) return known
  const fresh = new Intl.DateTimeFormat('en-US', {
    timeZone: zone,
    calendar: 'gregory',
    numberingSystem: 'latn',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
  })
  calendars.set(zone, fresh)
  return fresh
}

/** A day some days later (or earlier, when negative). */
export function daysAfter(day: Day, days: number): Day {
  const at = new Date(`${day}T00:00:00Z`)
  at.setUTCDate(at.getUTCDate() + days)
  return at.toISOString().slice(0, 10)
}

/** Whole days from one day to another; negative where that is earlier. */
export function daysBetween(from: Day, to: Day): number {
  return Math.round((Date.parse(to) - Date.parse(from)) / 86_400_000)
}

/** Whether two texts are the same moment, with any number of decimal places of the seconds. */
export function isSameMoment(one: Moment | null | undefined, other: Moment | null | undefined): boolean {
  return one != null && other != null && inShort(one) === inShort(other)
}

const inShort = (at: Moment) => at.replace(/(\.\d*?)0+Z$/, '$1Z').replace('.Z', 'Z')
