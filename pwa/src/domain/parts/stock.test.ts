import { expect, test } from 'vitest'
import vectors from '../../../../fixtures/parts/stock.json'
import type { Moment } from '../time'
import { differenceOf, levelOf, missingToMinimum, oppositeOf, sumOf } from './stock'

const moves = (drawn: (typeof vectors.levels)[number]['moves']) =>
  drawn.map(([moved_at, id, quantity, counted_level]) => ({
    id: id ?? '',
    moved_at: moved_at as Moment,
    quantity: quantity ?? '0',
    counted_level: counted_level ?? null,
  }))

test.each(vectors.levels)('the level where $why', ({ moves: drawn, level }) => {
  expect(levelOf(moves(drawn))).toBe(level)
  expect(levelOf(moves(drawn).reverse())).toBe(level)
})

test.each(vectors.missing)(
  'of %s, %s on order and at least %s wanted, %s is missing',
  (there, coming, least, missing) => {
    expect(missingToMinimum(there, coming, least)).toBe(missing)
  },
)

test('sums are exact', () => {
  expect(sumOf(['0.1', '0.2', '-1'])).toBe('-0.7')
  expect(sumOf([])).toBe('0')
  expect(differenceOf('0.3', '0.1')).toBe('0.2')
  expect(oppositeOf('1.500000')).toBe('-1.5')
  expect(oppositeOf('0')).toBe('0')
})
