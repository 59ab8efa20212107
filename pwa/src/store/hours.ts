import { call } from '../api/client'
import type { SchemaHeldReport, SchemaOvertimePay } from '../api/schema'
import { nameKey } from '../domain/history'
import { type JobProgress, progressOf } from '../domain/progress'
import type { Job, TimeEntry, WorkHistory } from '../domain/rows'
import type { Day } from '../domain/time'
import { type ShopDay, secondsOf } from '../domain/worked'
import { opened } from './opened'
import { permissions } from './session'
import { all, byAge, compare, of, one } from './shown'

export type Ended = TimeEntry & { ended_at: string }

const ON_JOBS: ReadonlySet<string> = new Set(['repair', 'diagnosis', 'rework'])
const FINISHED: ReadonlySet<string> = new Set(['ready', 'returned', 'closed'])
const STANDING: ReadonlySet<string> = new Set(['offered', 'decided'])

export interface WorkedOn {
  job: Job
  progress: JobProgress
  /** It is finished, and was last worked on in the days asked for: it counts among what they brought. */
  finished: boolean
}

/** Whether everybody's hours are shown to this member; their own always are. */
export const seesAll = () => permissions.value.has('correct_time')

/** The ended entries that count and share a moment with the days. */
export function endedIn(days: readonly ShopDay[]): Ended[] {
  return within(days).filter(counts)
}

/** What runs or is in dispute in the days: shown, never summed. */
export function apartIn(days: readonly ShopDay[]): TimeEntry[] {
  return within(days)
    .filter(({ state }) => state === 'open' || state === 'disputed')
    .sort((a, b) => compare(a.started_at, b.started_at))
}

/** The jobs whose machines were worked on in the days, each whole: all its hours beside all its lines. */
export function jobsIn(days: readonly ShopDay[]): WorkedOn[] {
  const [begins, ends] = edges(days)
  const ids = new Set(
    all('time_entry')
      .filter(
        (row) => row.job_id !== null && ON_JOBS.has(row.kind) && counts(row) && touches(row, begins, ends),
      )
      .map((row) => row.job_id ?? ''),
  )
  return [...ids]
    .flatMap((id) => one('job', id) ?? [])
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

function workedOn(jobId: string): Ended[] {
  return of('time_entry', 'job_id', jobId).filter((row): row is Ended => ON_JOBS.has(row.kind) && counts(row))
}

function progressOn(jobId: string, worked: readonly Ended[]): JobProgress {
  const lines = of('quote', 'job_id', jobId)
    .filter(({ state }) => STANDING.has(state))
    .sort(byAge)
    .flatMap(({ id }) => of('quote_line', 'quote_id', id).sort((a, b) => a.position - b.position))
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
  return progressOf(lines, clocked)
}

/** What is known of a work by its name, on every kind of machine. */
export const historyOf = (operation: string): WorkHistory[] =>
  of('work_history', 'operation', nameKey(operation))

export const histories = (): WorkHistory[] => all('work_history')

/** How well past intervals held. @throws NoSignal, Problem */
export const readHeld = () => call<SchemaHeldReport>('GET', '/api/v1/reports/held')

/** What a member's week comes to; nothing of it is kept. @throws NoSignal, Problem */
export function readPay(asked: { member_id: string; day: Day; rate_minor: number; bonus_minor: number }) {
  const { rate_minor, bonus_minor, ...rest } = asked
  const query = new URLSearchParams({ ...rest, rate_minor: `${rate_minor}`, bonus_minor: `${bonus_minor}` })
  return call<SchemaOvertimePay>('GET', `/api/v1/reports/overtime?${query}`)
}

function within(days: readonly ShopDay[]): TimeEntry[] {
  const [begins, ends] = edges(days)
  const me = opened.value?.who.member_id ?? ''
  const rows = seesAll() ? all('time_entry') : of('time_entry', 'member_id', me)
  return rows.filter((row) => touches(row, begins, ends))
}

function edges(days: readonly ShopDay[]): [number, number] {
  return [days[0]?.begins ?? 0, days.at(-1)?.ends ?? 0]
}

function touches(row: TimeEntry, begins: number, ends: number): boolean {
  return Date.parse(row.started_at) < ends && (row.ended_at === null || Date.parse(row.ended_at) > begins)
}

function counts(row: TimeEntry): row is Ended {
  return row.state === 'closed' && row.ended_at !== null
}
