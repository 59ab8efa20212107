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
 * Overlaps and anomalies of time entries. Twin of `shopapi/labor/rules/clock.py` and of `faults_of` in `entry.py`; both
 * sides run the vectors of `fixtures/fields`.
 */

export type TimeSpan = Pick<TimeEntry, 'id' | 'started_at' | 'ended_at' | 'anomaly'>

/** What clocked time was for. */
export type WorkDetails = Required<Omit<ClockStart, 'id' | 'started_at' | 'ends_ids'>>

/** Work on a machine belongs to a job. */
export const JOB_WORK_KINDS: ReadonlySet<EntryKind> = new Set<EntryKind>(WORK_OF_A_JOB)

/** Whether two spans overlap. One without an end is unbounded; one that ends before it begins overlaps nothing. */
export function overlap(one: TimeSpan, other: TimeSpan): boolean {
  if (one.anomaly === 'ends_first' || other.anomaly === 'ends_first') return false
  return (
    (other.ended_at === null || Date.parse(one.started_at) < Date.parse(other.ended_at)) &&
    (one.ended_at === null || Date.parse(other.started_at) < Date.parse(one.ended_at))
  )
}

/** Whether two ends of one entry are close enough to be the same. */
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

/** The state of a span that counts, given the member's other spans that count. */
export function entryState(span: TimeSpan, others: readonly TimeSpan[]): EntryState {
  if (span.anomaly !== '' || others.some((other) => other.id !== span.id && overlap(span, other)))
    return 'disputed'
  return span.ended_at === null ? 'open' : 'closed'
}

/** Whether it runs. */
export function isRunning(entry: TimeEntry): boolean {
  return entry.ended_at === null && entry.state !== 'replaced' && entry.anomaly !== 'ends_first'
}

/** The fields that are missing or must be empty. */
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

/** Whole minutes from one moment to another, both in ms; at least 0. */
export function minutesBetween(from: number, to: number): number {
  return Math.max(0, Math.floor((to - from) / 60_000))
}

/** A local day and time of day in a zone: `2026-03-08` and `02:30`. */
export interface WallTime {
  day: string
  time: string
}

/** The local time at a moment in ms since 1970. */
export function wallTimeAt(zone: string, ms: number): WallTime {
  const parts = wallClock(zone).formatToParts(ms)
  const part = (type: string) => parts.find((found) => found.type === type)?.value ?? ''
  return { day: dayIn(zone, ms), time: `${part('hour')}:${part('minute')}` }
}

/**
 * The moment of a local day and time, in ms since 1970; null for no valid day or time. Of a time that occurs twice it
 * is the first; a skipped time is moved later by as much as was skipped.
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
 * The moment of a local time between two moments, on a day or the next one, in ms since 1970; null if there is none.
 * The next day is tried because work can end after midnight.
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
