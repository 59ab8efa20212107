import { expect, test } from 'vitest'
import { percentOfAmount } from './worth'

/** Worked by hand: 450 of 1,200 is 37.5 %, and a tie goes up. */
test.each([
  [45_000, 120_000, 38],
  [45_000, 100_000, 45],
  [120_000, 100_000, 120],
  [0, 100_000, 0],
  [1, 3, 33],
  [45_000, 0, null],
  [45_000, null, null],
])('%d of %j is %j percent', (minor, of, expected) => {
  expect(percentOfAmount(minor, of)).toBe(expected)
})
