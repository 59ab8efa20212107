import {
  CLOCK_AHEAD_MS,
  CLOCK_ALIKE_MS,
  type ClockStart,
  type EntryAnomaly,
  type EntryKind,
  type EntryState,
  LONGEST_CLOCK_MS,
  type TimeEntry,
  WORK_OF_A_JOB,
} from '../contract.ts'
import { dayIn, daysAfter } from '../time.ts'
import type { Fault } from '../validation/fieldFaults.ts'

/**
 * How clocks meet. Twin of `shopapi/labor/rules/clock.py` and of `faults_of` in `entry.py`; anomalies and faults run the
 * vectors of `fixtures/fields` on both sides.
 */

export type TimeSpan = Pick<TimeEntry, 'id' | 'started_at' | 'ended_at' | 'anomaly'>

/** What clocked time was for. */
export type WorkDetails = Required<Omit<ClockStart, 'id' | 'started_at' | 'ends_ids'>>

/** Work on a machine is work on a job. */
export const JOB_WORK_KINDS: ReadonlySet<EntryKind> = new Set<EntryKind>(WORK_OF_A_JOB)

/** Whether two spans share a moment; one without an end goes on for ever, one that ended first has no time. */
export function overlap(one: TimeSpan, other: TimeSpan): boolean {
  if (one.anomaly === 'ends_first' || other.anomaly === 'ends_first') return false
  return (
    (other.ended_at === null || Date.parse(one.started_at) < Date.parse(other.ended_at)) &&
    (one.ended_at === null || Date.parse(other.started_at) < Date.parse(one.ended_at))
  )
}

/** Whether two ends of one clock say the same. */
export function isSameEnd(one: string | null, other: string): boolean {
  return one !== null && Math.abs(Date.parse(one) - Date.parse(other)) <= CLOCK_ALIKE_MS
}

/** What is wrong with a span by itself. `now` in ms since 1970. */
export function anomalyOf(started_at: string, ended_at: string | null, now: number): EntryAnomaly | '' {
  const start = Date.parse(started_at)
  const end = ended_at === null ? null : Date.parse(ended_at)
  if (end !== null && end <= start) return 'ends_first'
  if (Math.max(start, end ?? start) > now + CLOCK_AHEAD_MS) return 'in_future'
  if (end !== null && end - start > LONGEST_CLOCK_MS) return 'too_long'
  return ''
}

/** The state of a span that counts, beside the others of its member that do. */
export function entryState(span: TimeSpan, others: readonly TimeSpan[]): EntryState {
  if (span.anomaly !== '' || others.some((other) => other.id !== span.id && overlap(span, other)))
    return 'disputed'
  return span.ended_at === null ? 'open' : 'closed'
}

/** Runs, as far as anyone knows. */
export function isRunning(entry: TimeEntry): boolean {
  return entry.ended_at === null && entry.state !== 'replaced' && entry.anomaly !== 'ends_first'
}

/** What is missing or too much. */
export function workFaults(work: Pick<WorkDetails, 'kind' | 'job_id' | 'cause' | 'repairs_id'>): Fault[] {
  const faults: Fault[] = []
  const { kind, job_id, cause, repairs_id } = work
  if (kind === 'rework' && cause === null) faults.push({ field: 'cause', code: 'cause_needed' })
  if (kind !== 'rework' && (cause !== null || repairs_id !== null))
    faults.push({ field: 'cause', code: 'not_rework' })
  if (JOB_WORK_KINDS.has(kind) && job_id === null) faults.push({ field: 'job_id', code: 'job_needed' })
  if (kind === 'shop' && job_id !== null) faults.push({ field: 'job_id', code: 'no_job' })
  return faults
}

/** Whole minutes from one moment to another, both in ms; never fewer than none. */
export function minutesBetween(from: number, to: number): number {
  return Math.max(0, Math.floor((to - from) / 60_000))
}

/** A day and a time of day, `2026-03-08` and `02:30`, as a clock on the wall in a zone showed it. */
export interface WallTime {
  day: string
  time: string
}

/** What the clock on the wall showed at a moment in ms since 1970. */
export function wallTimeAt(zone: string, ms: number): WallTime {
  const parts = wallClock(zone).formatToParts(ms)
  const part = (type: string) => parts.find((found) => found.type === type)?.value ?? ''
  return { day: dayIn(zone, ms), time: `${part('hour')}:${part('minute')}` }
}

/**
 * When the wall showed a day and time, in ms since 1970; null where that is no day or no time. What it showed twice
 * is the first of the two; what it skipped is as much later as was skipped.
 */
export function msOfWallTime(zone: string, { day, time }: WallTime): number | null {
  const typed = /^\d{4}-\d\d-\d\d$/.test(day) && /^\d\d:\d\d$/.test(time)
  const wanted = typed ? Date.parse(`${day}T${time}:00Z`) : Number.NaN
  if (Number.isNaN(wanted)) return null
  const offsetAt = (ms: number) => {
    const shown = wallTimeAt(zone, ms)
    return Date.parse(`${shown.day}T${shown.time}:00Z`) - ms
  }
  const before = offsetAt(wanted - 86_400_000)
  const after = offsetAt(wanted + 86_400_000)
  const found = [wanted - before, wanted - after].filter((ms) => ms + offsetAt(ms) === wanted)
  return found.length > 0 ? Math.min(...found) : wanted - before
}

/**
 * When, on a day or the one after, the wall showed a time between two moments, in ms since 1970; null where it did
 * not. Work that gave way at two at night gave way on the day after it began.
 */
export function msOfWallTimeBetween(
  zone: string,
  { day, time }: WallTime,
  from: number,
  to: number,
): number | null {
  for (const each of [day, daysAfter(day, 1)]) {
    const ms = msOfWallTime(zone, { day: each, time })
    if (ms !== null && ms > from && ms < to) return ms
  }
  return null
}

const wallClocks = new Map<string, Intl.DateTimeFormat>()

function wallClock(zone: string): Intl.DateTimeFormat {
  const known = wallClocks.get(zone)
  if (known) return known
  const fresh = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone,
    numberingSystem: 'latn',
    hourCycle: 'h23',
    hour: '2-digit',
    minute: '2-digit',
  })
  wallClocks.set(zone, fresh)
  return fresh
}
