import { expect, test } from 'vitest'
import type { TimeEntry } from '../contract.ts'
import { timesheetRows } from './timesheet.ts'
import { weekRows } from './weekRows.ts'
import { daysFrom } from './worked.ts'

const zone = 'America/Chicago'
const DAYS = [
  '2026-11-23',
  '2026-11-24',
  '2026-11-25',
  '2026-11-26',
  '2026-11-27',
  '2026-11-28',
  '2026-11-29',
]
// Wednesday noon, Central Standard Time (UTC-6).
const now = Date.parse('2026-11-25T18:00:00Z')

/** An entry by its times on the wall of the shop, such as "24 08:00" to "24 09:30". */
function entry(member_id: string, from: string, to: string | null, more: Partial<TimeEntry> = {}): TimeEntry {
  const utc = (wall: string) => {
    const [day = '', clock = ''] = wall.split(' ')
    return new Date(Date.parse(`2026-11-${day}T${clock}:00Z`) + 6 * 3_600_000).toISOString()
  }
  const row = {
    id: `${member_id} ${from}`,
    member_id,
    kind: 'repair',
    job_id: null,
    state: 'closed',
    anomaly: '',
  }
  return { ...row, started_at: utc(from), ended_at: to === null ? null : utc(to), ...more } as TimeEntry
}

const seen = (rows: TimeEntry[], members = ['sunny', 'marta']) =>
  weekRows(
    timesheetRows(rows, daysFrom('2026-11-23', 7, zone), { zone, now, began: (row) => row.started_at }),
    members,
    DAYS,
  )

test('a day is split by job and kind, the same job once, the most work first', () => {
  const [sunny, marta] = seen([
    entry('sunny', '24 08:00', '24 09:00', { job_id: 'one' }),
    entry('sunny', '24 09:00', '24 12:00', { job_id: 'two' }),
    entry('sunny', '24 13:00', '24 13:30', { kind: 'travel' }),
    entry('sunny', '24 13:30', '24 15:00', { job_id: 'one' }),
    entry('sunny', '24 15:00', '24 15:15', { kind: 'rework', job_id: 'two' }),
  ])
  expect(sunny?.cells[1]).toMatchObject({
    on: '2026-11-24',
    seconds: 6.25 * 3600,
    parts: [
      { kind: 'repair', job_id: 'two', seconds: 3 * 3600 },
      { kind: 'repair', job_id: 'one', seconds: 2.5 * 3600 },
      { kind: 'rework', job_id: 'two', seconds: 900 },
      { kind: 'travel', job_id: null, seconds: 1800 },
    ],
    runs: false,
  })
  // 1 + 3 + 1.5 h on jobs; the quarter hour done again and the drive are not in it.
  expect(sunny).toMatchObject({ seconds: 6.25 * 3600, on_jobs: 5.5 * 3600, rework: 900 })
  expect(marta).toMatchObject({ seconds: 0, cells: DAYS.map((on) => ({ on, seconds: 0, parts: [] })) })
})

test('a running clock counts up to now and is marked', () => {
  const [sunny] = seen([entry('sunny', '25 10:30', null, { state: 'open' })])
  expect(sunny?.cells[2]).toMatchObject({ seconds: 1.5 * 3600, runs: true })
  expect(sunny?.cells[1]?.runs).toBe(false)
})

test('what has to be settled is named on the day it began and is in no sum', () => {
  const twice = entry('sunny', '24 13:00', '24 14:00', { state: 'disputed', job_id: 'one' })
  const [sunny] = seen([twice, entry('sunny', '24 08:00', '24 09:00')])
  expect(sunny?.cells[1]?.unsettled).toEqual([twice])
  expect(sunny?.seconds).toBe(3600)
})

test('work over midnight is on both days', () => {
  const [sunny] = seen([entry('sunny', '24 22:00', '25 03:00', { job_id: 'one' })])
  expect(sunny?.cells.map(({ seconds }) => seconds / 3600)).toEqual([0, 2, 3, 0, 0, 0, 0])
})
