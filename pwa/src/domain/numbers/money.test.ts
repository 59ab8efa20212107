import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { compare, exact, isDecimal, minus, over, plainDecimal, plus, times } from './decimal.ts'
import { numberFormatsFor } from './formats.ts'
import { minorDigits, percentOf, plainAmount, roundHalf, roundToStep, shareOut } from './money.ts'

test.each([
  [0, [], []],
  [0, [0, 0], [0, 0]],
  [100, [1, 1, 1], [34, 33, 33]],
  [2, [1, 1, 1], [1, 1, 0]],
  [5, [0, 3, 0, 2], [0, 3, 0, 2]],
  [10, [1, 2, 4], [1, 3, 6]],
  // Products beyond 2^53.
  [10 ** 13, [10 ** 12, 2 * 10 ** 12], [3_333_333_333_333, 6_666_666_666_667]],
])('%d shared out among %j loses nothing', (amount, weights, shares) => {
  expect(shareOut(amount, weights)).toEqual(shares)
})

test('an amount cannot be shared out among nothing', () => {
  expect(() => shareOut(1, [0, 0])).toThrow('nothing to share')
})

test('a step is rounded to once', () => {
  // By way of 250 whole cents, 249.5 would become 300.
  expect(roundToStep(exact('249.5'), 100, 'half_up')).toBe(200)
  expect(roundToStep(exact('250'), 100, 'half_up')).toBe(300)
  expect(roundToStep(exact('250'), 100, 'half_down')).toBe(200)
})

test('figures stay exact where a float would not', () => {
  const sum = plus(exact('0.1'), exact('0.2'))
  expect(compare(sum, exact('0.3'))).toBe(0)
  expect(compare(times(over(exact(1), exact(3)), exact(3)), exact(1))).toBe(0)
  expect(compare(minus(exact('-0.5'), exact('0.25')), exact('-0.75'))).toBe(0)
  // 1.005 is 1.00499999999999989... as a float.
  expect(roundHalf(times(exact('1.005'), exact(100)), 'half_up')).toBe(101)
  expect(roundHalf(percentOf(62_574_354, '25'), 'half_away')).toBe(15_643_589)
})

test.each(['0', '-0', '007', '1.250000', '999999999999.999999', '-3.5'])('%s is a plain number', (text) => {
  expect(isDecimal(text)).toBe(true)
})

test.each([
  '',
  ' 1',
  '+1',
  '.5',
  '1.',
  '1e3',
  'NaN',
  'Infinity',
  '1,5',
  '1.1234567',
  '1234567890123',
  '\u0661',
  '1\n',
])('%j is none', (text) => {
  expect(isDecimal(text)).toBe(false)
  expect(() => exact(text)).toThrow(RangeError)
})

test.each([
  ['1.50', '1.5'],
  ['100', '100'],
  ['-0.0', '0'],
  ['007', '7'],
  ['-0.250', '-0.25'],
  ['00.5', '0.5'],
])('%s is written as %s', (text, plain) => {
  expect(plainDecimal(text)).toBe(plain)
})

test.each([
  [0, 2, '0.00'],
  [-5, 2, '-0.05'],
  [123456, 2, '1234.56'],
  [1500, 0, '1500'],
  [-7, 3, '-0.007'],
])('%d minor units with %d digits are %s', (minor, digits, text) => {
  expect(plainAmount(minor, digits)).toBe(text)
})

test('the digits of every currency in force are those of ISO 4217', () => {
  const at = new URL('../../../../fixtures/pricing/currencies.json', import.meta.url)
  const { digits }: { digits: Record<string, string[]> } = JSON.parse(readFileSync(at, 'utf8'))
  const table = Object.entries(digits).flatMap(([count, all]) => all.map((one) => [one, Number(count)]))
  expect(table.length).toBeGreaterThan(160)
  expect(table.map(([currency]) => [currency, minorDigits(String(currency))])).toEqual(table)
  // What a shop types and reads: the same amount again, with exactly so many digits.
  for (const [currency, count] of table as [string, number][])
    for (const locale of ['en-US', 'de-DE', 'ja-JP']) {
      const figures = numberFormatsFor(locale, currency, 'UTC')
      for (const minor of [0, 1, 999_999_999]) {
        expect(figures.readMoney(figures.typedMoney(minor))).toBe(minor)
        expect(figures.money(minor).replace(/\D/g, '')).toBe(String(minor).padStart(count + 1, '0'))
      }
    }
})

test('the digits of currencies agree with the table of the platform', () => {
  // Which leaves out digits that are no longer paid in coin (HUF, COP, IQD); ISO 4217 keeps them.
  const known = Intl.supportedValuesOf('currency').map((currency) => {
    const shown = new Intl.NumberFormat('en', { style: 'currency', currency }).resolvedOptions()
    return { currency, ours: minorDigits(currency), theirs: shown.maximumFractionDigits }
  })
  expect(known.length).toBeGreaterThan(150)
  expect(known.filter(({ ours, theirs }) => theirs && theirs !== ours)).toEqual([])
  expect(known.filter(({ ours, theirs }) => !ours && theirs)).toEqual([])
  expect(known.filter(({ ours, theirs }) => ours === 3 && !theirs)).toEqual([
    { currency: 'IQD', ours: 3, theirs: 0 },
  ])
})
