/** The vectors of `fixtures/labor`, which the server's twins run as well (`tests/labor/test_rules_*.py`). */
import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import type { WeekDay } from '../contract.ts'
import { type ClockedWork, progressOf, type QuotedLabor } from '../quotes/progress.ts'
import {
  estimateHours,
  familyOf,
  type HoursEstimate,
  orderStatisticRanks,
  upperBoundRank,
  type WorkStats,
} from './history.ts'
import { roundingBiases, roundToStep } from './rounding.ts'
import { memberWeeks, reworkPerHundred } from './week.ts'
import { daysFrom, secondsOf, splitByDay, startOfDay, startOfWeek, type WorkedSpan } from './worked.ts'

function read(name: string) {
  return JSON.parse(readFileSync(new URL(`../../../../fixtures/labor/${name}.json`, import.meta.url), 'utf8'))
}

const history = read('history')
const weeks = read('weeks')
const rounding = read('rounding')

describe('hours to quote', () => {
  test.each<{ n: number; coverage: number; ranks: number[] | null }>(history.ranks)('ranks %j', (each) => {
    expect(orderStatisticRanks(each.n, each.coverage)).toEqual(each.ranks)
  })
  test.each<{ n: number; miss: number; rank: number | null }>(history.upper)('upper rank %j', (each) => {
    expect(upperBoundRank(each.n, each.miss)).toBe(each.rank)
  })
  test.each<[string, string]>(history.families)('%j is of %j', (kind, family) => {
    expect(familyOf(kind)).toBe(family)
  })
  test.each<{ says: string; kinds: WorkStats[]; machine_kind: string; is: HoursEstimate }>(history.typical)(
    '$says',
    (each) => {
      expect(estimateHours(each.kinds, each.machine_kind)).toEqual(each.is)
    },
  )
})

describe('days and weeks', () => {
  test.each<{ zone: string; day: string; is: string }>(weeks.first_moments)('$day in $zone', (each) => {
    expect(startOfDay(each.day, each.zone)).toBe(Date.parse(each.is))
  })
  test.each<{ day: string; start: WeekDay; is: string }>(weeks.weeks)('the week of $day, $start', (each) => {
    expect(startOfWeek(each.day, each.start)).toBe(each.is)
  })
  test.each<{
    says: string
    zone: string
    first: string
    count: number
    spans: WorkedSpan[]
    is: [string, number][]
  }>(weeks.by_day)('$says', ({ zone, first, count, spans, is }) => {
    const days = daysFrom(first, count, zone)
    expect(splitByDay(spans, days).map((part) => [part.on, secondsOf(part)])).toEqual(is)
    const total = is.reduce((sum, [, seconds]) => sum + seconds, 0)
    expect(memberWeeks(spans, days).map(({ seconds }) => seconds)).toEqual([total])
  })
  test('rework per hundred hours on jobs', () => {
    expect(
      reworkPerHundred([
        ['repair', 162_000],
        ['rework', 18_000],
        ['shop', 180_000],
      ]),
    ).toBe(10)
    expect(reworkPerHundred([['shop', 3600]])).toBeNull()
  })
})

describe('rounding', () => {
  test.each<{ at: string; zone: string; step: number; is: string }>(rounding.rounded)('%j', (each) => {
    expect(roundToStep(Date.parse(each.at), each.step, each.zone)).toBe(Date.parse(each.is))
  })
  test.each<{
    says: string
    zone: string
    spans: WorkedSpan[]
    seconds: number
    rounded: object
    against: number[]
  }>(rounding.biases)('$says', (each) => {
    const [found] = roundingBiases(each.spans, each.zone)
    expect(found).toMatchObject({ seconds: each.seconds, rounded: each.rounded, against: each.against })
  })
})

describe('quoted against clocked', () => {
  test.each<{
    says: string
    lines: QuotedLabor[]
    clocked: ClockedWork[]
    successors?: Record<string, string>
    is: { lines: [string, number][] }
  }>(read('progress'))('$says', ({ lines, clocked, successors, is }) => {
    const found = progressOf(lines, clocked, new Map(Object.entries(successors ?? {})))
    expect({ ...found, lines: found.lines.map((each) => [each.line.id, each.clocked]) }).toEqual(is)
  })
})
