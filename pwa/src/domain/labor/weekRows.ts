/** Who works on what in a week: each member's days, split by job and kind of work. Seconds throughout. */
import { type EntryKind, type TimeEntry, WORK_OF_A_JOB } from '../contract.ts'
import type { Day } from '../time.ts'
import type { TimesheetRow } from './timesheet.ts'

export interface WeekPart {
  kind: EntryKind
  job_id: string | null
  seconds: number
}

export interface WeekCell {
  on: Day
  seconds: number
  /** Kind by kind, in each the most work first. */
  parts: WeekPart[]
  /** A clock runs, so that the time is so far. */
  runs: boolean
  /** Entries that somebody has to settle; they are in no sum. */
  unsettled: TimeEntry[]
}

export interface WeekRow {
  member_id: string
  cells: WeekCell[]
  seconds: number
  /** Of these, on jobs without what was done again. */
  on_jobs: number
  rework: number
}

const KINDS: readonly EntryKind[] = ['repair', 'diagnosis', 'rework', 'travel', 'errand', 'shop']
const ON_JOBS: ReadonlySet<string> = new Set(WORK_OF_A_JOB)

/** One row for each member, in the given order, from the rows of their timesheets. */
export function weekRows(
  rows: readonly TimesheetRow[],
  members: readonly string[],
  days: readonly Day[],
): WeekRow[] {
  return members.map((member_id) => {
    const own = rows.filter(({ row }) => row.member_id === member_id)
    const cells = days.map((on) =>
      cellOf(
        on,
        own.filter((each) => each.on === on),
      ),
    )
    const parts = cells.flatMap((cell) => cell.parts)
    return {
      member_id,
      cells,
      seconds: sum(parts),
      on_jobs: sum(parts.filter(({ kind }) => ON_JOBS.has(kind) && kind !== 'rework')),
      rework: sum(parts.filter(({ kind }) => kind === 'rework')),
    }
  })
}

function cellOf(on: Day, rows: readonly TimesheetRow[]): WeekCell {
  const parts = new Map<string, WeekPart>()
  for (const { row, seconds } of rows) {
    if (seconds === null) continue
    const key = `${row.kind} ${row.job_id}`
    const before = parts.get(key)?.seconds ?? 0
    parts.set(key, { kind: row.kind, job_id: row.job_id, seconds: before + seconds })
  }
  const sorted = [...parts.values()].sort(
    (a, b) => KINDS.indexOf(a.kind) - KINDS.indexOf(b.kind) || b.seconds - a.seconds,
  )
  return {
    on,
    seconds: sum(sorted),
    parts: sorted,
    runs: rows.some(({ ended_at, seconds }) => ended_at === null && seconds !== null),
    unsettled: rows.filter(({ seconds }) => seconds === null).map(({ row }) => row),
  }
}

const sum = (parts: readonly WeekPart[]) => parts.reduce((all, { seconds }) => all + seconds, 0)
