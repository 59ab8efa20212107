/** One member's entries by day of the shop, as a list to read and correct. */
import type { TimeEntry } from '../contract.ts'
import { type Day, dayIn, type Moment, moment } from '../time.ts'
import { type ShopDay, secondsOf, splitByDay, type WorkedSpan } from './worked.ts'

/** An entry, or the part of it in a day. */
export interface TimesheetRow {
  on: Day
  row: TimeEntry
  started_at: Moment
  /** null: it runs. */
  ended_at: Moment | null
  /** null: in dispute, so it is in no sum. */
  seconds: number | null
}

/**
 * The latest first, split at midnight as in the reports and cut to the given days. Disputed entries are listed whole on
 * the day they began, however old they are; running ones are counted up to `now`, in ms since 1970.
 */
export function timesheetRows(
  rows: readonly TimeEntry[],
  days: readonly ShopDay[],
  { zone, now, began }: { zone: string; now: number; began: (running: TimeEntry) => Moment },
): TimesheetRow[] {
  const rowOf = new Map(
    rows.filter(({ state }) => state !== 'disputed').map((row) => [spanOf(row, now, began), row]),
  )
  const parts = splitByDay([...rowOf.keys()], days).flatMap((part): TimesheetRow[] => {
    const row = rowOf.get(part.span)
    if (!row) return []
    const first = part.begins === Date.parse(part.span.started_at)
    const last = part.ends === Date.parse(part.span.ended_at)
    return [
      {
        on: part.on,
        row,
        started_at: first ? row.started_at : moment(part.begins),
        ended_at: last ? row.ended_at : moment(part.ends),
        seconds: secondsOf(part),
      },
    ]
  })
  const unsettled = rows
    .filter(({ state }) => state === 'disputed')
    .map((row) => whole(row, dayIn(zone, Date.parse(row.started_at))))
  return [...parts, ...unsettled].sort(
    (one, other) => Date.parse(other.started_at) - Date.parse(one.started_at),
  )
}

function whole(row: TimeEntry, on: Day): TimesheetRow {
  return { on, row, started_at: row.started_at, ended_at: row.ended_at, seconds: null }
}

function spanOf(row: TimeEntry, now: number, began: (running: TimeEntry) => Moment): WorkedSpan {
  const { member_id, kind, started_at, ended_at } = row
  if (ended_at !== null) return { member_id, kind, started_at, ended_at }
  // A clock that was just started is also listed.
  const from = began(row)
  return { member_id, kind, started_at: from, ended_at: moment(Math.max(now, Date.parse(from) + 1)) }
}
