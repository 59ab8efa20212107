/** Units and conversion. The vectors of `fixtures/measures` are run by the server as well (`tests/core/test_quantities.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { compare, type Exact } from './decimal.ts'
import { asShown, convert, spanToSi, toSi, UNITS, UnlikeUnits, unitSymbol, unitsOf } from './quantities.ts'

interface Conversion {
  value: string
  unit: string
  to: string
  exact: string
}
interface Vectors {
  conversions: Conversion[]
  spans: Conversion[]
  shown: { exact: string; text: string }[]
  unlike: [string, string][]
  unknown: string[]
}

const at = new URL('../../../../fixtures/measures/quantities.json', import.meta.url)
const vectors: Vectors = JSON.parse(readFileSync(at, 'utf8'))

/** "-110/3" or "33.895", with any number of digits. */
function fraction(text: string): Exact {
  const [top = '', bottom = '1'] = text.split('/')
  const [whole = '', part = ''] = top.split('.')
  return { n: BigInt(whole + part), d: BigInt(bottom) * 10n ** BigInt(part.length) }
}

test.each(vectors.conversions)('$value $unit in $to', ({ value, unit, to, exact }) => {
  expect(compare(convert(value, unit, to), fraction(exact))).toBe(0)
})

test.each(vectors.spans)('a span of $value $unit in $to', ({ value, unit, to, exact }) => {
  expect(compare(spanToSi(value, unit), spanToSi(fraction(exact), to))).toBe(0)
})

test.each(vectors.shown)('$exact is shown as $text', ({ exact, text }) => {
  expect(asShown(fraction(exact))).toBe(text)
})

test.each(vectors.unlike)('%s is no %s', (unit, to) => {
  expect(() => convert('1', unit, to)).toThrow(UnlikeUnits)
})

test.each(vectors.unknown)('no unit: "%s"', (unit) => {
  expect(() => toSi('1', unit)).toThrow(UnlikeUnits)
  expect(unitSymbol(unit)).toBe(unit)
})

test('every unit there and back is the same', () => {
  for (const [key, { quantity }] of UNITS) {
    for (const other of unitsOf(quantity)) {
      const back = convert(convert('-12.3456', key, other), other, key)
      expect(compare(back, fraction('-12.3456')), `${key}, ${other}`).toBe(0)
    }
  }
})
