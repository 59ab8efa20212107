import { describe, expect, test } from 'vitest'
import { numberFormatsFor } from './formats'

const us = numberFormatsFor('en-US', 'USD', 'America/Boise')
const de = numberFormatsFor('de-DE', 'EUR', 'Europe/Berlin')
const jp = numberFormatsFor('ja-JP', 'JPY', 'Asia/Tokyo')

test('money is shown from minor units without passing through a float', () => {
  expect(us.money(9_007_199_254_740_991)).toBe('$90,071,992,547,409.91')
  expect(us.money(-5)).toBe('-$0.05')
  expect(de.money(123456)).toBe('1.234,56\u00a0€')
  expect(jp.money(1500)).toBe('￥1,500')
  // The platform would show no fillér and take 1234 for forints.
  expect(numberFormatsFor('en-US', 'HUF', 'Europe/Budapest').money(1234)).toBe('HUF\u00a012.34')
})

describe('typed numbers', () => {
  test.each([
    ['1.5', '1.5'],
    ['1,5', '1.5'],
    ['.5', '0.5'],
    ['1,250', '1250'],
    ['1,250.50', '1250.50'],
    ['1.250,5', '1250.5'],
    ['1 250,5', '1250.5'],
    ['1,234,567', '1234567'],
    ['−3', '-3'],
    ['007', '007'],
  ])('%s reads as %s in the United States', (typed, read) => expect(us.readNumber(typed)).toBe(read))

  test.each(['', 'abc', '1.2.3,4', '1e5', 'NaN', '12,34,5.6', '1..5', '-', '3/4'])('%s is refused', (typed) =>
    expect(us.readNumber(typed)).toBeNull(),
  )

  test('a point with three digits behind it is thousands only where the shop writes thousands so', () => {
    expect(de.readNumber('1.250')).toBe('1250')
    expect(us.readNumber('1.250')).toBe('1.250')
  })
})

test('typed money must fit the currency', () => {
  expect(us.readMoney('24.9')).toBe(2490)
  expect(us.readMoney('24.905')).toBeNull()
  expect(jp.readMoney('24.9')).toBeNull()
  expect(jp.readMoney('1500')).toBe(1500)
  expect(us.readMoney(us.typedMoney(123456))).toBe(123456)
  expect(de.readMoney(de.typedMoney(123456))).toBe(123456)
  expect(us.typedMoney(null)).toBe('')
})

test('dates, moments and spans', () => {
  expect(us.day('2026-11-27')).toBe('Nov 27, 2026')
  expect(us.weekday('2026-11-27')).toBe('Fri, Nov 27')
  expect(us.moment('2026-11-27T18:05:00Z').replaceAll('\u202f', ' ')).toBe('Nov 27, 2026, 11:05 AM')
  expect(us.since(0, 30_000)).toBe('now')
  expect(us.since(0, 180_000)).toBe('3 minutes ago')
  expect(us.since(0, 90_000_000)).toBe('yesterday')
  expect(us.percent('6.25')).toBe('6.25%')
})
