import { expect, test } from 'vitest'
import { placeLines, restOfPlace } from './places.ts'

test.each([
  ['12 Mill Road', '12 Mill Road\nStroud', ['12 Mill Road\nStroud'], 'Stroud'],
  ['12 Mill Road', '12 Mill Road', ['12 Mill Road'], ''],
  ['12 Mill Road', '12 Mill Road, Stroud', ['12 Mill Road, Stroud'], 'Stroud'],
  ['The cabin', '12 Mill Road', ['The cabin', '12 Mill Road'], '12 Mill Road'],
  ['Home', 'Home Farm Road 2', ['Home', 'Home Farm Road 2'], 'Home Farm Road 2'],
  ['The cabin', '', ['The cabin'], ''],
  ['', '12 Mill Road', ['12 Mill Road'], '12 Mill Road'],
])('%s at %j', (label, address, lines, rest) => {
  expect(placeLines(label, address)).toEqual(lines)
  expect(restOfPlace(label, address)).toBe(rest)
})
