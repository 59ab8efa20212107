import { expect, test } from 'vitest'
import type { TimeEntry } from '../contract.ts'
import { timesheetRows } from './timesheet'
import { memberWeeks } from './week'
import { daysFrom } from './worked'

const zone = 'America/Chicago'
const at = { zone, now: Date.parse('2026-12-24T12:00:00Z'), began: (row: TimeEntry) => row.started_at }

function clocked(started_at: string, ended_at: string, more: Partial<TimeEntry> = {}): TimeEntry {
  const defaults = { id: started_at, member_id: 'me', kind: 'repair', state: 'closed', anomaly: '' }
  return { ...defaults, started_at, ended_at, ...more } as TimeEntry
}

/** Hours by day as listed, the first day first; the reports' total beside it. */
function hours(rows: TimeEntry[], first: string) {
  const days = daysFrom(first, 7, zone)
  const found = timesheetRows(rows, days, at).reverse()
  const ended = rows.map(({ ended_at, ...rest }) => ({ ...rest, ended_at: ended_at ?? '' }))
  return {
    days: found.map(({ on, seconds }) => [on, (seconds ?? 0) / 3600]),
    reported: (memberWeeks(ended, days)[0]?.seconds ?? 0) / 3600,
  }
}

test('a night is cut at the shop’s midnight', () => {
  // 10 PM to 6 AM, Central Standard Time (UTC-6).
  const night = clocked('2026-11-25T04:00:00Z', '2026-11-25T12:00:00Z')
  const split = [
    ['2026-11-24', 2],
    ['2026-11-25', 6],
  ]
  expect(hours([night], '2026-11-23')).toEqual({ days: split, reported: 8 })
  const [later, earlier] = timesheetRows([night], daysFrom('2026-11-23', 7, zone), at)
  expect(earlier).toMatchObject({ started_at: night.started_at, ended_at: '2026-11-25T06:00:00.000Z' })
  expect(later).toMatchObject({
    started_at: '2026-11-25T06:00:00.000Z',
    ended_at: night.ended_at,
    row: night,
  })
})

// Clocks in the United States change at 2 AM of the second Sunday in March and the first in November (15 U.S.C. 260a,
// from memory): 11 PM to 7 AM on the wall are 7 and 9 hours of work.
test.each([
  ['2026-03-08T05:00:00Z', '2026-03-08T12:00:00Z', '2026-03-02', '2026-03-07', '2026-03-08', 6],
  ['2026-11-01T04:00:00Z', '2026-11-01T13:00:00Z', '2026-10-26', '2026-10-31', '2026-11-01', 8],
])('a night in which clocks change, from %s to %s', (from, to, first, before, after, left) => {
  const split = [
    [before, 1],
    [after, left],
  ]
  expect(hours([clocked(from, to)], first)).toEqual({ days: split, reported: 1 + left })
})

test('a night over the edge of the week is in both weeks, in each with its part', () => {
  const night = clocked('2026-11-30T04:00:00Z', '2026-11-30T12:00:00Z')
  expect(hours([night], '2026-11-23')).toEqual({ days: [['2026-11-29', 2]], reported: 2 })
  expect(hours([night], '2026-11-30')).toEqual({ days: [['2026-11-30', 6]], reported: 6 })
})

test('what is not settled is listed whole, however old, and in no sum; what runs counts so far', () => {
  const old = clocked('2026-10-01T03:00:00Z', '2026-10-01T08:00:00Z', { state: 'disputed' })
  const runs = { ...clocked('2026-11-25T05:00:00Z', ''), ended_at: null, state: 'open' as const }
  const now = Date.parse('2026-11-25T07:30:00Z')
  expect(timesheetRows([old, runs], daysFrom('2026-11-23', 7, zone), { ...at, now })).toMatchObject([
    { on: '2026-11-25', ended_at: null, seconds: 5400 },
    { on: '2026-11-24', ended_at: '2026-11-25T06:00:00.000Z', seconds: 3600 },
    { on: '2026-09-30', row: old, seconds: null },
  ])
})
