/**
 * In which months machines of a kind are used, from the shop's own meter readings.
 *
 * Twin: `shopapi/machines/rules/season.py`, which explains the method.
 */

import { NEXT_SERVICE } from '../contract.ts'
import { type Day, daysAfter, daysBetween } from '../time.ts'

const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
const YEAR = 365.25
const EPOCH = 2000

/** An hour meter as read; a replaced meter has a higher segment. */
export interface MeterPoint {
  segment: number
  day: Day
  hours: number
}

/** The share of a year's use in each month, January first. */
export type MonthShares = readonly number[]

export const EVEN_MONTHS: MonthShares = MONTH_DAYS.map((days) => days / 365)

/** The readings of each meter by day, the first meter first. */
export function bySegment(readings: readonly MeterPoint[]): MeterPoint[][] {
  const found = new Map<number, MeterPoint[]>()
  const sorted = [...readings].sort(
    (a, b) => a.segment - b.segment || compareDays(a.day, b.day) || a.hours - b.hours,
  )
  for (const reading of sorted) {
    const meter = found.get(reading.segment)
    if (meter) meter.push(reading)
    else found.set(reading.segment, [reading])
  }
  return [...found.values()]
}

/** The share of a year's hours that falls in each month. */
export function monthShares(machines: readonly (readonly MeterPoint[])[]): MonthShares {
  const hours = new Array<number>(12).fill(0)
  const days = new Array<number>(12).fill(0)
  for (const readings of machines)
    for (const meter of bySegment(readings))
      for (const [place, after] of meter.entries()) spread(meter[place - 1], after, hours, days)
  if (total(hours) <= 0) return EVEN_MONTHS
  const usual = total(hours) / total(days)
  const weights = MONTH_DAYS.map((length, month) => {
    const { own_days: own } = NEXT_SERVICE
    return (((hours[month] ?? 0) + own * usual) / ((days[month] ?? 0) + own)) * length
  })
  return weights.map((weight) => weight / total(weights))
}

function spread(before: MeterPoint | undefined, after: MeterPoint, hours: number[], days: number[]): void {
  const apart = before ? daysBetween(before.day, after.day) : 0
  if (!before || apart < 1 || apart > NEXT_SERVICE.farthest_apart || after.hours < before.hours) return
  for (let n = 0; n < apart; n += 1) {
    const month = monthOf(daysAfter(before.day, n)) - 1
    hours[month] = (hours[month] ?? 0) + (after.hours - before.hours) / apart
    days[month] = (days[month] ?? 0) + 1
  }
}

/** A day on a scale on which use is even: a year is 365.25, each month as long as its share of the year's use. */
export function seasonTime(day: Day, shares: MonthShares): number {
  const [year, month, date] = [Number(day.slice(0, 4)), monthOf(day), Number(day.slice(8, 10))]
  const part = (date - 1) / daysInMonth(year, month)
  const before = total(shares.slice(0, month - 1))
  return YEAR * (year - EPOCH + before + (shares[month - 1] ?? 0) * part)
}

/** The hours a day of each machine whose meters were read over a month or more, lowest first. */
export function useRates(machines: readonly (readonly MeterPoint[])[], shares: MonthShares): number[] {
  const found: number[] = []
  for (const readings of machines) {
    const ends = bySegment(readings)
      .map((meter) => [meter[0], meter.at(-1)] as const)
      .flatMap(([first, last]) =>
        first && last && last.hours >= first.hours ? [[first, last] as const] : [],
      )
    const span = total(ends.map(([a, b]) => seasonTime(b.day, shares) - seasonTime(a.day, shares)))
    if (span >= NEXT_SERVICE.shortest_span) found.push(total(ends.map(([a, b]) => b.hours - a.hours)) / span)
  }
  return found.sort((a, b) => a - b)
}

export const compareDays = (a: Day, b: Day): number => (a < b ? -1 : a > b ? 1 : 0)

export const daysInMonth = (year: number, month: number): number =>
  new Date(Date.UTC(year, month, 0)).getUTCDate()

const monthOf = (day: Day): number => Number(day.slice(5, 7))

const total = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0)
