import { expect, test } from 'vitest'
import { uuid7 } from './ids'
import { ownLetter, provisionalMark, shownName } from './provisionalMarks'
import { dayIn, daysAfter, moment } from './time'

test('the day is the one of the zone, on both sides of midnight and of the clock change', () => {
  const at = Date.parse('2026-03-08T06:30:00Z')
  expect(dayIn('America/Boise', at)).toBe('2026-03-07')
  expect(dayIn('UTC', at)).toBe('2026-03-08')
  expect(dayIn('Pacific/Auckland', Date.parse('2026-12-31T11:00:00Z'))).toBe('2027-01-01')
  expect(dayIn('America/Boise', Date.parse('2026-11-01T07:30:00Z'))).toBe('2026-11-01')
})

test('days are counted over months, years and the 29th of February', () => {
  expect(daysAfter('2026-12-20', 30)).toBe('2027-01-19')
  expect(daysAfter('2028-02-28', 1)).toBe('2028-02-29')
  expect(daysAfter('2026-03-01', -1)).toBe('2026-02-28')
})

test('a moment is written in UTC with milliseconds', () => {
  expect(moment(0)).toBe('1970-01-01T00:00:00.000Z')
})

test('an id is version 7: its time first, then the random part', () => {
  // RFC 9562, appendix A.6, from memory: the time 2022-02-22 14:22:22.00 GMT-05:00 is 0x017F22E279B0.
  const random = new Uint8Array([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f])
  expect(uuid7(0x017f22e279b0, random)).toBe('017f22e2-79b0-7cc3-98c4-dc0c0c07398f')
  expect(() => uuid7(0, new Uint8Array(9))).toThrow(RangeError)
})

test('ids minted later sort later', () => {
  const random = new Uint8Array(10).fill(255)
  expect(uuid7(1_000, random) < uuid7(1_001, new Uint8Array(10))).toBe(true)
})

test('a job goes by its mark until it has a number', () => {
  expect(provisionalMark('B', 7)).toBe('B-7')
  expect(shownName({ number: null, mark: 'B-7' })).toBe('B-7')
  expect(shownName({ number: 'J-1042', mark: 'B-7' })).toBe('J-1042')
})

test('a device without a letter takes one of its own, always the same, far from those given out', () => {
  expect(ownLetter('01900000-0000-7000-8000-0000000000ff')).toMatch(/^Z[A-Z]{2}$/)
  expect(ownLetter('01900000-0000-7000-8000-0000000000ff')).toBe(
    ownLetter('01900000-0000-7000-8000-0000000000ff'),
  )
})
