import type { Work } from './commands'
import type { Doubt, TimeEntry, TimeKind, TimeState } from './rows'
import { dayIn, daysAfter } from './time.ts'

/** How clocks meet. Twin of `shopapi/labor/rules/clock.py` and of `faults_of` in `entry.py`. */

export type Span = Pick<TimeEntry, 'id' | 'started_at' | 'ended_at' | 'doubt'>

export const KINDS_OF_TIME: readonly TimeKind[] = [
  'repair',
  'diagnosis',
  'travel',
  'errand',
  'rework',
  'shop',
]
export const CAUSES = ['wrong_gauge', 'wrong_part', 'torque', 'missed_step', 'part_failed', 'other'] as const

/** Work on a machine is work on a job. */
export const OF_A_JOB: ReadonlySet<TimeKind> = new Set<TimeKind>(['repair', 'diagnosis', 'rework'])

const AHEAD_MS = 5 * 60_000
export const LONGEST_MS = 24 * 3_600_000

/** Whether two spans share a moment; one without an end goes on for ever, one that ended first has no time. */
export function overlap(one: Span, other: Span): boolean {
  if (one.doubt === 'ends_first' || other.doubt === 'ends_first') return false
  return (
    (other.ended_at === null || Date.parse(one.started_at) < Date.parse(other.ended_at)) &&
    (one.ended_at === null || Date.parse(other.started_at) < Date.parse(one.ended_at))
  )
}

/** What is amiss with a span by itself, told at a moment in ms since 1970. */
export function doubtAbout(started_at: string, ended_at: string | null, now: number): Doubt | '' {
  const start = Date.parse(started_at)
  const end = ended_at === null ? null : Date.parse(ended_at)
  if (end !== null && end <= start) return 'ends_first'
  if (Math.max(start, end ?? start) > now + AHEAD_MS) return 'in_future'
  if (end !== null && end - start > LONGEST_MS) return 'too_long'
  return ''
}

/** The state of a span that counts, beside the others of its member that do. */
export function stateOf(span: Span, others: readonly Span[]): TimeState {
  if (span.doubt !== '' || others.some((other) => other.id !== span.id && overlap(span, other)))
    return 'disputed'
  return span.ended_at === null ? 'open' : 'closed'
}

/** Runs, as far as anyone knows. */
export function isRunning(entry: TimeEntry): boolean {
  return entry.ended_at === null && entry.state !== 'replaced' && entry.doubt !== 'ends_first'
}

/** The fields that are missing or too much. */
export function faultsOf(work: Pick<Work, 'kind' | 'job_id' | 'cause' | 'repairs_id'>): (keyof Work)[] {
  const faults: (keyof Work)[] = []
  const rework = work.kind === 'rework'
  if (rework ? work.cause === null : work.cause !== null || work.repairs_id !== null) faults.push('cause')
  if (OF_A_JOB.has(work.kind) ? work.job_id === null : work.kind === 'shop' && work.job_id !== null)
    faults.push('job_id')
  return faults
}

/** Whole minutes from one moment to another, both in ms; never fewer than none. */
export function minutesBetween(from: number, to: number): number {
  return Math.max(0, Math.floor((to - from) / 60_000))
}

/** A day and a time of day, `2026-03-08` and `02:30`, as a clock on the wall in a zone showed it. */
export interface Wall {
  day: string
  time: string
}

/** What the clock on the wall showed at a moment in ms since 1970. */
export function wallAt(zone: string, ms: number): Wall {
  const parts = wallClock(zone).formatToParts(ms)
  const part = (type: string) => parts.find((found) => found.type === type)?.value ?? ''
  return { day: dayIn(zone, ms), time: `${part('hour')}:${part('minute')}` }
}

/**
 * When the wall showed a day and time, in ms since 1970; null where that is no day or no time. What it showed twice
 * is the first of the two; what it skipped is as much later as was skipped.
 */
export function instantOf(zone: string, { day, time }: Wall): number | null {
  const typed = /^\d{4}-\d\d-\d\d$/.test(day) && /^\d\d:\d\d$/.test(time)
  const wanted = typed ? Date.parse(`${day}T${time}:00Z`) : Number.NaN
  if (Number.isNaN(wanted)) return null
  const offsetAt = (ms: number) => {
    const shown = wallAt(zone, ms)
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
export function instantBetween(zone: string, { day, time }: Wall, from: number, to: number): number | null {
  for (const each of [day, daysAfter(day, 1)]) {
    const ms = instantOf(zone, { day: each, time })
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
