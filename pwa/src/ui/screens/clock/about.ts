import { minutesBetween } from '../../../domain/clock'
import { shownName } from '../../../domain/marks'
import type { TimeEntry } from '../../../domain/rows'
import type { Moment } from '../../../domain/time'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { opened } from '../../../store/opened'
import { quoteLine } from '../../../store/quotes'
import { isOfThisPhone } from '../../../store/time'
import type { Place } from '../../router'
import { figures } from '../../shopFigures'

type About = Pick<TimeEntry, 'kind' | 'job_id' | 'operation' | 'line_id'>

/** Whose job it is on: "J-1042 Stroud"; empty for none. */
export function jobWords(job_id: string | null): string {
  const row = job_id === null ? undefined : job(job_id)
  return row ? [shownName(row), customer(row.customer_id)?.name].filter(Boolean).join(' ') : ''
}

/** "Repair · carburetor clean · J-1042 Stroud"; the job is left out on its own screen. */
export function workWords(work: About, on: string | null = null): string {
  const line = work.line_id === null ? undefined : quoteLine(work.line_id)
  return en.app.joined([
    en.clock.kinds[work.kind],
    work.operation || line?.words || '',
    work.job_id === on ? '' : jobWords(work.job_id),
  ])
}

/** "9:05 AM – 10:20 AM", with the day where it is not given. */
export function spanWords(row: Pick<TimeEntry, 'started_at' | 'ended_at' | 'device_ended_at'>): string {
  const { time } = figures.value
  const end = row.ended_at ?? row.device_ended_at
  return end === null ? en.clock.fromOn(time(row.started_at)) : en.clock.from(time(row.started_at), time(end))
}

export const isOwn = (member_id: string) => member_id === opened.value?.who.member_id

/** The list that an entry of a member stands in. */
export function listOf(member_id: string): Place {
  return isOwn(member_id) ? { at: 'my-time' } : { at: 'my-time', memberId: member_id }
}

/** When a clock that runs began. What runs on this phone is measured by this phone's clock alone, right or wrong. */
export function beganBy(row: TimeEntry): Moment {
  return isOfThisPhone(row) ? (row.device_started_at ?? row.started_at) : row.started_at
}

/** How long an entry is, in whole minutes. */
export function minutesOf(row: TimeEntry, now: number): number {
  if (row.doubt === 'ends_first') return 0
  if (row.ended_at !== null) return minutesBetween(Date.parse(row.started_at), Date.parse(row.ended_at))
  return minutesBetween(Date.parse(beganBy(row)), now)
}
