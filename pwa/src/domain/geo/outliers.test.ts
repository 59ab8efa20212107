import { expect, test } from 'vitest'
import { outliersOf } from './outliers.ts'

const YARD = { lat: 40.3, lon: -98.4 }
/** Positions so many hundredths of a degree north, each about 1.1 km. */
const north = (...hundredths: readonly number[]) =>
  hundredths.map((each) => ({ lat: 40.3 + each / 100, lon: -98.4 }))

test.each<[string, number[], typeof YARD | null, number[]]>([
  ['nothing is left out of one day', [3, 5, 8], YARD, []],
  ['one 560 km off', [3, 5, 504], YARD, [504]],
  ['of two the far one', [3, 504], YARD, [504]],
  ['without a yard', [3, 5, 8, 504], null, [504]],
  ['the only one is no outlier', [504], YARD, []],
  ['a shop whose stops are all far', [400, 450, 504], YARD, []],
  ['80 km are never too far', [1, 2, 70], YARD, []],
  ['none', [], null, []],
])('%s', (_, hundredths, center, expected) => {
  const positions = north(...hundredths)
  const far = outliersOf(positions, center)
  expect(hundredths.filter((__, at) => far.has(positions[at] ?? YARD))).toEqual(expected)
})
