import { expect, test } from 'vitest'
import { isSameNumber, phoneDigits } from './phoneNumber.ts'

test.each([
  ['(208) 555-0134', '2085550134'],
  ['+1 208.555.0134', '12085550134'],
  [' 555 0134 ', '5550134'],
  ['0134', ''],
  ['208-555', ''],
  ['Otis 208 555 0134', ''],
  ['FW 88-1203-9981', ''],
  ['Otis O’Brien', ''],
  ['', ''],
])('the digits of “%s” as a number are “%s”', (typed, digits) => {
  expect(phoneDigits(typed)).toBe(digits)
})

test.each([
  ['2085550134', '2085550134', true],
  ['12085550134', '2085550134', true],
  ['5550134', '2085550134', true],
  ['2085550134', '2085550135', false],
  ['0134', '2085550134', false],
  ['', '', false],
])('%s and %s ring the same telephone: %s', (one, other, same) => {
  expect(isSameNumber(one, other)).toBe(same)
})
