/** The vectors of `fixtures/machines`, which the server's twins run as well (`tests/machines/test_next_service.py`). */

import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { addMonths, machineUse, nextService, type ServiceForecast, seasonStart } from './nextService'
import { fitLine, lineAt, tBelow, tQuantile } from './regression'
import { EVEN_MONTHS, type MeterPoint, monthShares, useRates } from './season'

type Written = [segment: number, day: string, hours: number][]

interface Case {
  name: string
  readings: Written
  hours: number | null
  months: number | null
  done_on: string
  by_day: string
  rates: number[]
  shares: 'even' | 'summer'
  expect: ServiceForecast
}

interface Vectors {
  summer: { machines: Written[]; shares: number[] }
  rates: { machines: Written[]; expect: number[] }
  t: [number, number, number][]
  quantiles: [number, number, number][]
  add_months: [string, number, string][]
  season_start: [string, string, string][]
  cases: Case[]
}

interface Norris {
  certified: { intercept: number; slope: number; spread: number }
  points: [number, number][]
}

function read<T>(name: string): T {
  return JSON.parse(
    readFileSync(new URL(`../../../../fixtures/machines/${name}.json`, import.meta.url), 'utf8'),
  )
}

const vectors = read<Vectors>('next_service')
const readingsOf = (written: Written): MeterPoint[] =>
  written.map(([segment, day, hours]) => ({ segment, day, hours }))

test('the line of the Norris data of NIST', () => {
  const { certified, points } = read<Norris>('norris')
  const line = fitLine([points])
  expect(line?.slope).toBeCloseTo(certified.slope, 11)
  expect(line?.spread).toBeCloseTo(certified.spread, 11)
  expect(line && lineAt(line, 0)).toBeCloseTo(certified.intercept, 10)
})

test.each(vectors.t)('chance of t at most %d with %d degrees of freedom', (t, freedom, chance) => {
  expect(tBelow(t, freedom)).toBeCloseTo(chance, 12)
})

test.each(vectors.quantiles)('quantile %d of t with %d degrees of freedom', (chance, freedom, t) => {
  expect(tQuantile(chance, freedom)).toBeCloseTo(t, 9)
})

test('shares of the months and rates of machines', () => {
  const shares = monthShares(vectors.summer.machines.map(readingsOf))
  for (const [month, share] of vectors.summer.shares.entries()) expect(shares[month]).toBeCloseTo(share, 12)
  const rates = useRates(vectors.rates.machines.map(readingsOf), EVEN_MONTHS)
  expect(rates.map((rate) => rate.toFixed(10))).toEqual(vectors.rates.expect.map((rate) => rate.toFixed(10)))
})

test.each(vectors.cases)('$name', (one) => {
  const shares = one.shares === 'even' ? EVEN_MONTHS : vectors.summer.shares
  const use = machineUse(readingsOf(one.readings), shares, one.rates)
  const { used, chance, ...rest } = nextService(one, one.done_on, use, one.by_day)
  const { used: wantedUsed, chance: wantedChance, ...wanted } = one.expect
  expect(rest).toEqual(wanted)
  expect(used?.toFixed(8)).toBe(wantedUsed?.toFixed(8))
  expect(chance?.toFixed(8)).toBe(wantedChance?.toFixed(8))
})

test('months are added and the season starts again', () => {
  for (const [day, months, expected] of vectors.add_months) expect(addMonths(day, months)).toBe(expected)
  for (const [today, start, expected] of vectors.season_start)
    expect(seasonStart(today, start)).toBe(expected)
})
