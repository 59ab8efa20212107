/** RFC 8785's vectors, as in `tests/quotes/test_canonical_json.py`. */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { canonicalize } from './canonicalJson.ts'

const at = new URL('../../../fixtures/canonical_json/rfc8785.json', import.meta.url)
const { rfc, numbers, own, refused }: { [name in 'rfc' | 'numbers' | 'own' | 'refused']: any[] } = JSON.parse(
  readFileSync(at, 'utf8'),
)

test.each([...rfc, ...own])('$section$about', ({ input, canonical, utf8 }) => {
  const wanted = canonical ?? Buffer.from(utf8.replaceAll(' ', ''), 'hex').toString('utf8')
  expect(canonicalize(JSON.parse(input))).toBe(wanted)
})

test.each(numbers)('the number of the bits $ieee754', ({ ieee754, json }) => {
  const number = Buffer.from(ieee754, 'hex').readDoubleBE()
  if (json === null) expect(() => canonicalize([number])).toThrow(TypeError)
  else expect(canonicalize(number)).toBe(json)
})

test.each(refused)('%s has no canonical form', (input) => {
  expect(() => canonicalize(JSON.parse(input))).toThrow(TypeError)
})

test.each([undefined, [undefined], { a: undefined }, () => 1, 10n, Symbol.iterator])(
  '%o is not JSON',
  (value) => {
    expect(() => canonicalize(value as never)).toThrow(TypeError)
  },
)
