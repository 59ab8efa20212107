/**
 * Ended spans of time, and splitting them by the days and weeks of the shop.
 *
 * Twin: `shopapi/labor/rules/spans.py`.
 */
import { WEEK_DAYS, type WeekDay } from '../contract.ts'
import { type Day, dayIn, daysAfter, type Moment } from '../time.ts'

/** A span that has ended and counts. */
export interface WorkedSpan {
  member_id: string
  kind: string
  started_at: Moment
  ended_at: Moment
}

/** One day of the shop from its first moment to that of the next, in ms since 1970. */
export interface ShopDay {
  on: Day
  begins: number
  ends: number
}

/** The part of a span in a day. */
export interface DayPart {
  on: Day
  span: WorkedSpan
  begins: number
  ends: number
}

// No zone is further from UTC than this.
const FARTHEST_S = 16 * 3600

/** When a day begins in a zone, in ms since 1970. Where midnight is skipped: the moment of the clock change. */
export function startOfDay(day: Day, zone: string): number {
  const middle = Date.parse(`${day}T00:00:00Z`) / 1000
  let [before, from] = [middle - FARTHEST_S, middle + FARTHEST_S]
  while (from - before > 1) {
    const half = Math.floor((before + from) / 2)
    if (dayIn(zone, half * 1000) < day) before = half
    else from = half
  }
  return from * 1000
}

/** Consecutive days without gaps. */
export function daysFrom(first: Day, count: number, zone: string): ShopDay[] {
  const starts = Array.from({ length: count + 1 }, (_, ahead) => startOfDay(daysAfter(first, ahead), zone))
  return Array.from({ length: count }, (_, ahead) => ({
    on: daysAfter(first, ahead),
    begins: starts[ahead] ?? 0,
    ends: starts[ahead + 1] ?? 0,
  }))
}

/** The first day of the week that contains a day. */
export function startOfWeek(day: Day, start: WeekDay): Day {
  const monday0 = (new Date(`${day}T00:00:00Z`).getUTCDay() + 6) % 7
  return daysAfter(day, -((monday0 - WEEK_DAYS.indexOf(start) + 7) % 7))
}

/** Split each span at day boundaries. */
export function splitByDay(spans: readonly WorkedSpan[], days: readonly ShopDay[]): DayPart[] {
  const known = spans.map((span) => ({
    span,
    from: Date.parse(span.started_at),
    to: Date.parse(span.ended_at),
  }))
  return days.flatMap((day) =>
    known
      .map(({ span, from, to }) => ({
        on: day.on,
        span,
        begins: Math.max(from, day.begins),
        ends: Math.min(to, day.ends),
      }))
      .filter(({ begins, ends }) => begins < ends),
  )
}

/** Whole seconds of a span or of a part of one. */
export function secondsOf({ begins, ends }: { begins: number; ends: number }): number {
  return Math.floor((ends - begins) / 1000)
}
