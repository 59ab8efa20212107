import { describe, expect, it } from 'vitest'
import {
  anomalyOf,
  entryState,
  minutesBetween,
  msOfWallTime,
  msOfWallTimeBetween,
  overlap,
  wallTimeAt,
} from './clock'

const at = (hours: number) => new Date(Date.UTC(2026, 4, 1) + hours * 3_600_000).toISOString()
const span = (id: string, from: number, to: number | null) =>
  ({ id, started_at: at(from), ended_at: to === null ? null : at(to), anomaly: '' }) as const

describe('spans', () => {
  it.each([
    [9, 10, 10, 11, false],
    [9, 11, 10, 12, true],
    [9, 12, 10, 11, true],
    [9, null, 10, 11, true],
    [12, null, 10, 11, false],
    [9, null, 12, null, true],
  ])('%d–%s and %d–%s share a moment: %s', (a, b, c, d, shares) => {
    expect(overlap(span('a', a, b), span('b', c, d))).toBe(shares)
    expect(overlap(span('b', c, d), span('a', a, b))).toBe(shares)
  })

  it('are in dispute while they share a moment with another', () => {
    expect(entryState(span('a', 9, 11), [span('b', 10, 12)])).toBe('disputed')
    expect(entryState(span('a', 9, 11), [span('a', 9, 11), span('b', 11, 12)])).toBe('closed')
    expect(entryState(span('a', 9, null), [])).toBe('open')
  })

  it.each([
    [9, 8, 'ends_first'],
    [9, 9, 'ends_first'],
    [9, 34, 'too_long'],
    [9, 33, ''],
    [50, null, 'in_future'],
  ] as const)('%d–%s has the anomaly %s', (from, to, anomaly) => {
    expect(anomalyOf(at(from), to === null ? null : at(to), Date.parse(at(40)))).toBe(anomaly)
  })
})

describe('clocks on the wall', () => {
  // IANA zone America/New_York: 2026-03-08 02:30 is skipped, 2026-11-01 01:30 is shown twice (05:30Z and 06:30Z).
  const zone = 'America/New_York'
  it.each([
    ['2026-03-08', '02:30', '2026-03-08T07:30:00.000Z'],
    ['2026-03-08', '03:30', '2026-03-08T07:30:00.000Z'],
    ['2026-11-01', '01:30', '2026-11-01T05:30:00.000Z'],
    ['2026-07-01', '09:00', '2026-07-01T13:00:00.000Z'],
    ['2026-01-01', '09:00', '2026-01-01T14:00:00.000Z'],
  ])('%s %s was %s', (day, time, moment) => {
    expect(msOfWallTime(zone, { day, time })).toBe(Date.parse(moment))
  })

  it('give back what they showed', () => {
    expect(wallTimeAt(zone, Date.parse('2026-11-01T06:30:00Z'))).toEqual({ day: '2026-11-01', time: '01:30' })
    expect(msOfWallTime(zone, { day: '', time: '01:30' })).toBeNull()
    expect(msOfWallTime(zone, { day: '2026-13-01', time: '01:30' })).toBeNull()
  })

  it.each([
    ['23:30', '2026-05-02T03:30:00.000Z'],
    ['02:00', '2026-05-02T06:00:00.000Z'],
    ['22:30', null],
    ['05:30', null],
  ])('what began at 23:00 and ended at 05:00 gave way at %s: %s', (time, moment) => {
    const [from, to] = [Date.parse('2026-05-02T03:00:00Z'), Date.parse('2026-05-02T09:00:00Z')]
    const found = msOfWallTimeBetween(zone, { day: '2026-05-01', time }, from, to)
    expect(found).toBe(moment && Date.parse(moment))
  })

  // A night from 22:00 to 06:00 in which clocks change is 7 or 9 hours of work, not 8.
  it.each([
    ['2026-03-07', '2026-03-08', 7],
    ['2026-10-31', '2026-11-01', 9],
    ['2026-06-01', '2026-06-02', 8],
  ])('%s 22:00 to %s 06:00 is %d hours', (from, to, hours) => {
    const began = msOfWallTime(zone, { day: from, time: '22:00' }) ?? 0
    const ended = msOfWallTime(zone, { day: to, time: '06:00' }) ?? 0
    expect(minutesBetween(began, ended)).toBe(hours * 60)
  })
})
