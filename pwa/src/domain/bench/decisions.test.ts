import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { compare, type Exact, exact } from '../numbers/decimal.ts'
import {
  agree,
  asNumber,
  conformity,
  decideInterval,
  decideValue,
  isTooCoarse,
  normal,
  settlingUncertainty,
  uncertaintyRatio,
} from './decisions.ts'

interface Limits {
  low: string | null
  high: string | null
}
interface Vectors {
  values: (Limits & {
    name: string
    value: string
    uncertainty: string
    verdict: string
    p: number | null
    ratio: string | null
  })[]
  intervals: (Limits & {
    name: string
    goes: string | null
    stops: string | null
    uncertainty: string
    verdict: string
  })[]
  normal: [x: number, phi: number][]
  agree: { one: string; uncertainty: string; other: string; other_uncertainty: string; expect: boolean }[]
}
const at = new URL('../../../../fixtures/bench/decisions.json', import.meta.url)
const vectors: Vectors = JSON.parse(readFileSync(at, 'utf8'))
const bound = (text: string | null): Exact | null => (text === null ? null : exact(text))

test.each(vectors.values)(
  '$name: $value ± $uncertainty',
  ({ value, uncertainty, low, high, ...expected }) => {
    const given = [exact(value), exact(uncertainty), bound(low), bound(high)] as const
    expect(decideValue(...given)).toBe(expected.verdict)
    const p = conformity(...given)
    expect(p === null).toBe(expected.p === null)
    expect(p ?? 0).toBeCloseTo(expected.p ?? 0, 12)
    const ratio = uncertaintyRatio(given[1], given[2], given[3])
    expect(ratio && asNumber(ratio).toFixed(9)).toBe(expected.ratio && Number(expected.ratio).toFixed(9))
  },
)

test.each(vectors.intervals)('$name', ({ goes, stops, uncertainty, low, high, verdict }) => {
  expect(decideInterval(bound(goes), bound(stops), exact(uncertainty), bound(low), bound(high))).toBe(verdict)
})

// The figures are scipy's.
test.each(vectors.normal)('Phi of %d', (x, phi) => {
  expect(Math.abs(normal(x) - phi)).toBeLessThan(1e-15)
  expect(phi === 0 || Math.abs(normal(x) / phi - 1) < 1e-12).toBe(true)
})

test.each(vectors.agree)(
  '$one and $other',
  ({ one, uncertainty, other, other_uncertainty, expect: agreed }) => {
    expect(agree(exact(one), exact(uncertainty), exact(other), exact(other_uncertainty))).toBe(agreed)
  },
)

test('a gauge is too coarse below a ratio of four, exactly', () => {
  const coarse = (uncertainty: string) => isTooCoarse(exact(uncertainty), exact('0.20'), exact('0.30'))
  expect([coarse('0.0125'), coarse('0.012501'), coarse('0.03')]).toEqual([false, true, true])
  expect(isTooCoarse(exact('5'), exact('90'), null)).toBe(false)
})

test('the gauge that would settle a value is as sure as the nearer limit is away', () => {
  const settle = (value: string) => settlingUncertainty(exact(value), exact('0.008'), exact('0.012'))
  const found = settle('0.0116')
  expect(found && compare(found, exact('0.0004'))).toBe(0)
  expect(settle('0.012')).toBeNull()
  expect(settlingUncertainty(exact('5'), null, null)).toBeNull()
})
