import type { TimeEntry } from '../../../domain/contract'
import { minutesBetween } from '../../../domain/labor/clock'
import { shownName } from '../../../domain/provisionalMarks'
import { type Moment, moment } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { quoteLine } from '../../../store/quotes'
import { shopSession } from '../../../store/session/shopSession'
import { isOfThisPhone } from '../../../store/timeEntries'
import type { Route } from '../../router'
import { format } from '../../shopFormat'

type EntryWork = Pick<TimeEntry, 'kind' | 'job_id' | 'operation' | 'line_id'>

/** Job and customer: "J-1042 Stroud"; empty for no job. */
export function jobText(job_id: string | null): string {
  const row = job_id === null ? undefined : job(job_id)
  return row ? [shownName(row), customer(row.customer_id)?.name].filter(Boolean).join(' ') : ''
}

/** "Repair · carburetor clean · J-1042 Stroud"; the job is left out on its own screen. */
export function workText(work: EntryWork, on: string | null = null): string {
  const line = work.line_id === null ? undefined : quoteLine(work.line_id)
  return en.app.joined([
    en.clockFace.kinds[work.kind],
    work.operation || line?.words || '',
    work.job_id === on ? '' : jobText(work.job_id),
  ])
}

/** "9:05 AM – 10:20 AM", or "from 9:05 AM" while it runs. */
export function spanText(row: Pick<TimeEntry, 'started_at' | 'ended_at' | 'device_ended_at'>): string {
  const { time } = format.value
  const end = row.ended_at ?? row.device_ended_at
  return end === null
    ? en.clockFace.fromOn(time(row.started_at))
    : en.clockFace.from(time(row.started_at), time(end))
}

export const isOwn = (member_id: string) => member_id === shopSession.value?.who.member_id

/** The screen that lists the entries of a member. */
export function listOf(member_id: string): Route {
  return isOwn(member_id) ? { at: 'my-time' } : { at: 'my-time', memberId: member_id }
}

/**
 * The start of a running clock by this phone's clock, so that the elapsed time is right even if that clock is wrong.
 * While its offset is unknown, entries started on this phone are measured by its clock alone.
 */
export function startMoment(row: TimeEntry): Moment {
  const ahead_ms = shopSession.value?.deviceStatus.value.ahead_ms ?? null
  if (ahead_ms !== null) return moment(Date.parse(row.started_at) + ahead_ms)
  return isOfThisPhone(row) ? (row.device_started_at ?? row.started_at) : row.started_at
}

/** The length of an entry in whole minutes. */
export function minutesOf(row: TimeEntry, now: number): number {
  if (row.anomaly === 'ends_first') return 0
  if (row.ended_at !== null) return minutesBetween(Date.parse(row.started_at), Date.parse(row.ended_at))
  return minutesBetween(Date.parse(startMoment(row)), now)
}
