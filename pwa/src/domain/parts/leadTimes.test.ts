/** The vectors of `fixtures/parts`, which the server's twins run as well (`tests/parts/test_promise_vectors.py`). */

import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { ShopCalendar } from '../contract'
import { addBusinessDays, businessDaysBetween, openDaysOf } from './businessDays'
import {
  chanceOfAll,
  daysForAll,
  type ExpectedPart,
  leadTimeOf,
  usualLeadTime,
  waitingShare,
} from './leadTimes'

interface WrittenPart {
  supplier: number | null
  usual: number | null
  ended: number[]
  open: number[]
  waited: number
  not_before: number
}

interface Vectors {
  calendar: { calendar: ShopCalendar; holidays: string[] }
  offsets: [day: string, count: number, expected: string][]
  between: [first: string, last: string, expected: number][]
  survival: { ended: number[]; open: number[]; shares: [number, number][] }[]
  promises: { parts: WrittenPart[]; share: number; days: number | null; chances: (number | null)[] }[]
}

const vectors: Vectors = JSON.parse(
  readFileSync(new URL('../../../../fixtures/parts/promises.json', import.meta.url), 'utf8'),
)
const isOpen = openDaysOf(vectors.calendar.calendar, vectors.calendar.holidays)

const historyOf = ({ ended, open }: { ended: number[]; open: number[] }) =>
  leadTimeOf([
    ...ended.map((days) => ({ days, arrived: true })),
    ...open.map((days) => ({ days, arrived: false })),
  ])

test('business days', () => {
  for (const [day, count, expected] of vectors.offsets)
    expect([day, count, addBusinessDays(day, count, isOpen)]).toEqual([day, count, expected])
  for (const [first, last, expected] of vectors.between)
    expect([first, last, businessDaysBetween(first, last, isOpen)]).toEqual([first, last, expected])
  expect(addBusinessDays('2026-11-30', 1, () => false)).toBeNull()
})

test('the Kaplan-Meier estimate of the 6-MP trial, as textbooks print it', () => {
  for (const one of vectors.survival)
    for (const [days, share] of one.shares) expect(waitingShare(historyOf(one), days)).toBeCloseTo(share, 4)
})

test.each(vectors.promises)('promise %#', ({ parts, share, days, chances }) => {
  const expected = parts.map(
    (part): ExpectedPart => ({
      supplier: part.supplier?.toString() ?? null,
      leadTime: part.usual === null ? historyOf(part) : usualLeadTime(part.usual),
      waited: part.waited,
      notBefore: part.not_before,
    }),
  )
  expect(daysForAll(expected, share)).toBe(days)
  for (const [place, after] of [0, 3, 7].entries())
    expect(chanceOfAll(expected, after)?.toFixed(9)).toBe(chances[place]?.toFixed(9))
})
