import { call } from '../api/client'
import type { SchemaHeldReport, SchemaOvertimePay } from '../api/schema'
import { type Job, type TimeEntry, WORK_OF_A_JOB, type WorkHistory } from '../domain/contract'
import { nameKey } from '../domain/labor/history'
import { type ShopDay, secondsOf } from '../domain/labor/worked'
import { type JobProgress, progressOf } from '../domain/quotes/progress'
import type { Day } from '../domain/time'
import { isPendingRevision } from './quotes'
import { allOf, byAge, byId, compare, ownedBy } from './rows/selectors'
import { permissions } from './session/session'
import { shopSession } from './session/shopSession'
import { successorsOn } from './successors'

export type EndedEntry = TimeEntry & { ended_at: string }

const ON_JOBS: ReadonlySet<string> = new Set(WORK_OF_A_JOB)
const FINISHED: ReadonlySet<string> = new Set(['ready', 'returned', 'closed'])
const COUNTED_QUOTES: ReadonlySet<string> = new Set(['offered', 'decided'])

export interface JobHours {
  job: Job
  progress: JobProgress
  /** It is finished, and its last work was in these days: it counts in their totals. */
  finished: boolean
}

/** Whether this member may see all hours; their own are always shown. */
export const maySeeAllTime = () => permissions.value.has('correct_time')

/** The ended entries that count and overlap the days. */
export function endedIn(days: readonly ShopDay[]): EndedEntry[] {
  return within(days).filter(counts)
}

/** Running and disputed entries in the days: shown, never summed. */
export function openOrDisputedIn(days: readonly ShopDay[]): TimeEntry[] {
  return within(days)
    .filter(({ state }) => state === 'open' || state === 'disputed')
    .sort((a, b) => compare(a.started_at, b.started_at))
}

/** The jobs worked on in the days, each in full: all its hours and all its lines. */
export function jobsIn(days: readonly ShopDay[]): JobHours[] {
  const [begins, ends] = edges(days)
  const ids = new Set(
    allOf('time_entry')
      .filter(
        (row) => row.job_id !== null && ON_JOBS.has(row.kind) && counts(row) && touches(row, begins, ends),
      )
      .map((row) => row.job_id ?? ''),
  )
  return [...ids]
    .flatMap((id) => byId('job', id) ?? [])
    .sort(byAge)
    .map((job) => {
      const worked = workedOn(job.id)
      const last = Math.max(...worked.map(({ ended_at }) => Date.parse(ended_at)))
      return {
        job,
        progress: progressOn(job.id, worked),
        finished: FINISHED.has(job.stage) && last > begins && last <= ends,
      }
    })
}

function workedOn(jobId: string): EndedEntry[] {
  return ownedBy('time_entry', 'job_id', jobId).filter(
    (row): row is EndedEntry => ON_JOBS.has(row.kind) && counts(row),
  )
}

function progressOn(jobId: string, worked: readonly EndedEntry[]): JobProgress {
  const lines = ownedBy('quote', 'job_id', jobId)
    .filter((quote) => COUNTED_QUOTES.has(quote.state) && !isPendingRevision(quote))
    .sort(byAge)
    .flatMap(({ id }) => ownedBy('quote_line', 'quote_id', id).sort((a, b) => a.position - b.position))
    .filter(({ kind, decided }) => kind === 'labor' && decided !== 'declined')
    .map((line) => ({
      id: line.id,
      words: line.words,
      operation: line.operation ?? '',
      seconds: line.hours == null ? null : Math.round(Number(line.hours) * 3600),
      accepted: line.decided === 'accepted',
    }))
  const clocked = worked.map(({ line_id, operation, started_at, ended_at }) => ({
    line_id,
    operation,
    seconds: secondsOf({ begins: Date.parse(started_at), ends: Date.parse(ended_at) }),
  }))
  return progressOf(lines, clocked, successorsOn(jobId))
}

/** The history of a named work, by kind of machine. */
export const historyOf = (operation: string): WorkHistory[] =>
  ownedBy('work_history', 'operation', nameKey(operation))

export const histories = (): WorkHistory[] => allOf('work_history')

/** The hit rate of past intervals. @throws NoSignal, Problem */
export const readIntervalReport = () => call<SchemaHeldReport>('GET', '/api/v1/reports/held')

/** A member's pay for a week with overtime; nothing of it is stored. @throws NoSignal, Problem */
export function readOvertimePay(asked: {
  member_id: string
  day: Day
  rate_minor: number
  bonus_minor: number
}) {
  const { rate_minor, bonus_minor, ...rest } = asked
  const query = new URLSearchParams({ ...rest, rate_minor: `${rate_minor}`, bonus_minor: `${bonus_minor}` })
  return call<SchemaOvertimePay>('GET', `/api/v1/reports/overtime?${query}`)
}

function within(days: readonly ShopDay[]): TimeEntry[] {
  const [begins, ends] = edges(days)
  const me = shopSession.value?.who.member_id ?? ''
  const rows = maySeeAllTime() ? allOf('time_entry') : ownedBy('time_entry', 'member_id', me)
  return rows.filter((row) => touches(row, begins, ends))
}

function edges(days: readonly ShopDay[]): [number, number] {
  return [days[0]?.begins ?? 0, days.at(-1)?.ends ?? 0]
}

function touches(row: TimeEntry, begins: number, ends: number): boolean {
  return Date.parse(row.started_at) < ends && (row.ended_at === null || Date.parse(row.ended_at) > begins)
}

function counts(row: TimeEntry): row is EndedEntry {
  return row.state === 'closed' && row.ended_at !== null
}
