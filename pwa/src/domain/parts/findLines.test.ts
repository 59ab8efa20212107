import { expect, test } from 'vitest'
import { findLines } from './findLines.ts'

const ROWS = [
  { number: 'BX-41', words: 'Deck belt PO-1001 Oakline' },
  { number: 'bx 41 7', words: 'Drive belt PO-1002 Oakline' },
  { number: '', words: 'Fuel hose PO-1002 Oakline' },
]

test.each([
  ['', ['BX-41', 'bx 41 7', '']],
  ['bx41', ['BX-41']],
  ['BX-417', ['bx 41 7']],
  ['01BX41 70001', ['BX-41', 'bx 41 7']],
  ['hose', ['']],
  ['po 1002', ['bx 41 7', '']],
  ['nothing such', []],
])('“%s” finds them', (typed, numbers) => {
  expect(findLines(typed, ROWS).map(({ number }) => number)).toEqual(numbers)
})
