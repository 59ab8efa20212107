/**
 * When a machine's next service is due: at its hours or its months, whichever comes first.
 *
 * Twin: `shopapi/machines/rules/next_service.py`, which explains the method; both run
 * `fixtures/machines/next_service.json`.
 */

import { NEXT_SERVICE } from '../contract.ts'
import { type Day, daysAfter } from '../time.ts'
import { deviationAt, type FittedLine, fitLine, lineAt, tBelow, tQuantile } from './regression.ts'
import { bySegment, daysInMonth, type MeterPoint, type MonthShares, seasonTime } from './season.ts'

/** What a forecast is from: months is the calendar alone; meter_falls: a meter's readings go down. */
export type ForecastBasis = 'readings' | 'two_readings' | 'other_machines' | 'months' | 'meter_falls'

const LOW = 0.1
const MIDDLE = 0.5
const HIGH = 0.9
const FARTHEST_DAYS = 3650
const ROUNDING = 1e-9

/** How often a service is due: after so many hours of work, months, or both. */
export interface ServiceInterval {
  hours: number | null
  months: number | null
}

/**
 * `due_on`: null if not known. `earliest`, `latest`: of the hours. `used`: hours since the last service. `chance`: that
 * it is due by the day asked for; null if hours count and nothing is known of them.
 */
export interface ServiceForecast {
  basis: ForecastBasis
  due_on: Day | null
  by: 'hours' | 'months' | null
  earliest: Day | null
  latest: Day | null
  used: number | null
  chance: number | null
}

/** A machine's hours over time on the scale of its last meter. `line` or the `rates` of others say how fast. */
export interface MachineUse {
  basis: ForecastBasis
  shares: MonthShares
  points: readonly (readonly [day: Day, hours: number])[]
  line: FittedLine | null
  rates: readonly number[]
}

/** What the readings say; null without any. `rates`: of other machines of the kind, lowest first. */
export function machineUse(
  readings: readonly MeterPoint[],
  shares: MonthShares,
  rates: readonly number[],
): MachineUse | null {
  const meters = bySegment(readings)
  if (!meters.length) return null
  const falls = meters.some((meter) => meter.some((one, n) => one.hours < (meter[n - 1]?.hours ?? 0)))
  if (falls) return { basis: 'meter_falls', shares, points: [], line: null, rates: [] }
  const line = fitLine(meters.map((meter) => meter.map((one) => [seasonTime(one.day, shares), one.hours])))
  const others = !line && rates.length >= NEXT_SERVICE.enough_machines ? rates : []
  const alone = others.length ? 'other_machines' : 'months'
  const basis = line ? (line.spread === null ? 'two_readings' : 'readings') : alone
  return { basis, shares, points: onOneScale(meters, shares, rateOf(line, others)), line, rates: others }
}

const rateOf = (line: FittedLine | null, rates: readonly number[]): number =>
  line ? line.slope : (rates[rates.length >> 1] ?? 0)

/** The readings as the last meter would have shown them; between two meters the machine was used at its rate. */
function onOneScale(meters: readonly MeterPoint[][], shares: MonthShares, rate: number): [Day, number][] {
  let offset = 0
  let points: [Day, number][] = []
  let following: MeterPoint | undefined
  for (const meter of [...meters].reverse()) {
    const last = meter.at(-1)
    if (following && last)
      offset +=
        following.hours -
        last.hours -
        rate * (seasonTime(following.day, shares) - seasonTime(last.day, shares))
    const shift = offset
    points = [...meter.map(({ day, hours }): [Day, number] => [day, hours + shift]), ...points]
    following = meter[0]
  }
  return points
}

/** As read on that day, between two readings in proportion, outside them at the machine's rate. */
function hoursOn(use: MachineUse, day: Day): number {
  const time = (at: Day) => seasonTime(at, use.shares)
  const before = use.points.filter(([at]) => at <= day).at(-1)
  const after = use.points.find(([at]) => at >= day)
  if (before && after) {
    const span = time(after[0]) - time(before[0])
    return span <= 0 ? before[1] : before[1] + ((after[1] - before[1]) * (time(day) - time(before[0]))) / span
  }
  const near = before ?? after
  return near ? near[1] + rateOf(use.line, use.rates) * (time(day) - time(near[0])) : 0
}

/** The chance that the meter shows `due` hours by a day. */
function chanceBy(use: MachineUse, due: number, day: Day): number {
  const [last, hours] = use.points.at(-1) ?? [day, 0]
  if (hours >= due - ROUNDING) return 1
  if (day <= last) return 0
  const x = seasonTime(day, use.shares)
  if (!use.line) {
    const ahead = x - seasonTime(last, use.shares)
    const reached = use.rates.filter((rate) => hours + rate * ahead >= due - ROUNDING).length
    return use.rates.length ? reached / use.rates.length : 0
  }
  const deviation = deviationAt(use.line, x)
  if (!deviation) return lineAt(use.line, x) >= due - ROUNDING ? 1 : 0
  return tBelow((lineAt(use.line, x) - due) / deviation, use.line.freedom)
}

/** The first day with at least this chance; null if none is in sight. */
function firstDay(use: MachineUse, due: number, chance: number): Day | null {
  const { line, points } = use
  const [last, hours] = points.at(-1) ?? ['', 0]
  if (hours >= due - ROUNDING) return dayReached(use, due)
  const bound = line?.spread ? tQuantile(chance, line.freedom) : 0
  if (!line?.spread && !use.rates.length && rateOf(line, use.rates) <= 0) return null
  for (let n = 1; n <= FARTHEST_DAYS; n += 1) {
    const day = daysAfter(last, n)
    if (!line?.spread) {
      if (chanceBy(use, due, day) >= chance - ROUNDING) return day
      continue
    }
    const x = seasonTime(day, use.shares)
    if (lineAt(line, x) - due >= bound * (deviationAt(line, x) ?? 0) - ROUNDING) return day
  }
  return null
}

/** The day on which the meter came to `due` hours, which one of its readings has reached. */
function dayReached(use: MachineUse, due: number): Day {
  const place = use.points.findIndex(([, shown]) => shown >= due - ROUNDING)
  let day = use.points[Math.max(0, place - 1)]?.[0] ?? ''
  while (hoursOn(use, day) < due - ROUNDING) day = daysAfter(day, 1)
  return day
}

/** When a service is due that was last done on a day, and the chance that it is by `byDay`. */
export function nextService(
  { hours, months }: ServiceInterval,
  doneOn: Day,
  use: MachineUse | null,
  byDay: Day,
): ServiceForecast {
  const monthsDue = months === null ? null : addMonths(doneOn, months)
  const basis = use?.basis ?? 'months'
  const known = use && hours !== null && basis !== 'months' && basis !== 'meter_falls' ? use : null
  const start = known ? hoursOn(known, doneOn) : 0
  const due = start + (hours ?? 0)
  const hoursDue = known && firstDay(known, due, MIDDLE)
  const spreads = known && known.basis !== 'two_readings' ? known : null
  const chance = known ? chanceBy(known, due, byDay) : months === null ? null : 0
  const byHours = hoursDue !== null && (monthsDue === null || hoursDue <= monthsDue)
  return {
    basis: known || basis === 'meter_falls' ? basis : 'months',
    due_on: byHours ? hoursDue : monthsDue,
    by: byHours ? 'hours' : monthsDue === null ? null : 'months',
    earliest: spreads && firstDay(spreads, due, LOW),
    latest: spreads && firstDay(spreads, due, HIGH),
    used: known && Math.max(0, (known.points.at(-1)?.[1] ?? 0) - start),
    chance: monthsDue !== null && monthsDue <= byDay ? 1 : chance,
  }
}

/** The same day so many months later, or the month's last. */
export function addMonths(day: Day, months: number): Day {
  const count = Number(day.slice(0, 4)) * 12 + Number(day.slice(5, 7)) - 1 + months
  const [year, month] = [Math.floor(count / 12), (count % 12) + 1]
  const date = Math.min(Number(day.slice(8, 10)), daysInMonth(year, month))
  return `${year}-${String(month).padStart(2, '0')}-${String(date).padStart(2, '0')}`
}

/** The next day after today on which the season starts, given as "MM-DD". */
export function seasonStart(today: Day, start: string): Day {
  const year = Number(today.slice(0, 4))
  const [month, date] = start.split('-').map(Number) as [number, number]
  const inYear = (at: number): Day =>
    `${at}-${String(month).padStart(2, '0')}-${String(Math.min(date, daysInMonth(at, month))).padStart(2, '0')}`
  return inYear(year) > today ? inYear(year) : inYear(year + 1)
}
