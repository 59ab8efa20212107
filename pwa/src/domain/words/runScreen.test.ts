import { expect, test } from 'vitest'
import { run } from './runScreen'

test.each([
  [0, '0 min'],
  [49, '49 min'],
  [60, '1 h'],
  [82, '1 h 22 min'],
  [125, '2 h 5 min'],
])('%i minutes of driving are written as %s', (minutes, expected) => {
  expect(run.figures('12.1', 'mi', minutes)).toBe(`12.1 mi, ${expected} driving`)
})
