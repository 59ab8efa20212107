import { expect, test } from 'vitest'
import { wordsIn } from '../../store/search/textMatch'
import { filterRows, renderedIndexes, sortRows, windowOf } from './arrange'
import type { Column } from './table'

interface Row {
  readonly name: string
  readonly due: string | null
  readonly left: number | null
}

const ROWS: readonly Row[] = [
  { name: 'J-10 Núñez', due: '2026-12-03', left: 5 },
  { name: 'J-9 Abara', due: null, left: -20 },
  { name: 'J-100 Voss', due: '2026-11-21', left: null },
  { name: 'J-2 Vega', due: null, left: 0 },
]
const column = (key: keyof Row): Column<Row> => ({ key, label: key, value: (row) => row[key], width: 5 })
const namesBy = (key: keyof Row, down = false) =>
  sortRows(ROWS, column(key), { key, down }).map(({ name }) => name.split(' ')[0])

test('numbers in texts sort as numbers, figures by value', () => {
  expect(namesBy('name')).toEqual(['J-2', 'J-9', 'J-10', 'J-100'])
  expect(namesBy('name', true)).toEqual(['J-100', 'J-10', 'J-9', 'J-2'])
  expect(namesBy('left')).toEqual(['J-9', 'J-2', 'J-10', 'J-100'])
})

test('empty cells are last either way, in the order they had', () => {
  expect(namesBy('due')).toEqual(['J-100', 'J-10', 'J-9', 'J-2'])
  expect(namesBy('due', true)).toEqual(['J-10', 'J-100', 'J-9', 'J-2'])
})

test('a rank sorts in place of the value', () => {
  const ranked: Column<Row> = { ...column('name'), rank: ({ name }) => name.length }
  expect(sortRows(ROWS, ranked, { key: 'name' }).map(({ name }) => name.length)).toEqual([8, 9, 10, 10])
})

test.each([
  ['', 4],
  ['  ', 4],
  ['nunez', 1],
  ['v', 2],
  ['v 100', 1],
  ['j-9', 1],
  ['oss', 0],
])('the filter "%s" finds %i rows', (typed, count) => {
  expect(filterRows(ROWS, typed, ({ name }) => wordsIn(name))).toHaveLength(count)
})

test('the window holds what is in sight and moves by blocks', () => {
  const at = (top: number) => windowOf(5000, top, 720, 36)
  expect(at(0)).toEqual({ first: 0, end: 32 })
  expect(at(35)).toEqual(at(0))
  for (let top = 0; top <= 5000 * 36 - 720; top += 313) {
    const { first, end } = at(top)
    expect(first * 36).toBeLessThanOrEqual(top)
    expect(end * 36).toBeGreaterThanOrEqual(Math.min(5000 * 36, top + 720))
    expect(end - first).toBeLessThan(60)
  }
})

test('the window of a list that became shorter is not behind its end', () => {
  expect(windowOf(3, 4000, 720, 36)).toEqual({ first: 0, end: 3 })
  expect(windowOf(0, 0, 720, 36)).toEqual({ first: 0, end: 0 })
})

test('the row with the focus stays in the document', () => {
  expect(renderedIndexes({ first: 8, end: 11 }, 9)).toEqual([8, 9, 10])
  expect(renderedIndexes({ first: 8, end: 11 }, 2)).toEqual([2, 8, 9, 10])
  expect(renderedIndexes({ first: 8, end: 11 }, 40)).toEqual([8, 9, 10, 40])
  expect(renderedIndexes({ first: 0, end: 0 }, -1)).toEqual([])
})
