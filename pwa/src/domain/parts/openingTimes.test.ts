import { expect, test } from 'vitest'
import vectors from '../../../../fixtures/dispatch/opening_times.json'
import type { Supplier } from '../contract.ts'
import { openingTimes } from './openingTimes.ts'

test.each(vectors.cases)('$name', ({ opens, closes, open_on, day, times }) => {
  const hours = { opens, closes, open_on: open_on as Supplier['open_on'] }
  expect(openingTimes(hours, day, vectors.zone)).toEqual(
    times.map(([from = '', to = '']) => ({ opens: Date.parse(from) / 1000, closes: Date.parse(to) / 1000 })),
  )
})
