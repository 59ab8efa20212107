import { afterEach, expect, test } from 'vitest'
import { moment } from '../../domain/time'
import { adoptPageClock, stamp } from '../browser/clock'
import { type Contact, clockAheadMs } from '../database/meta'
import { Phone } from '../fakes/phone'
import { FakeServer } from '../fakes/server'
import { shopSession } from '../session/shopSession'
import { plainWork, startClock } from '../timeEntries'
import { ContactLog, contactOf, sinceBefore, withContact } from './serverContacts'

const HOUR_MS = 3_600_000
const NOON_MS = Date.parse('2026-05-04T12:00:00Z')
let phone: Phone | undefined

afterEach(async () => {
  shopSession.value = null
  await phone?.close()
  phone = undefined
})

// RFC 5905, section 8: theta = ((T2 - T1) + (T3 - T4)) / 2 and delta = (T4 - T1) - (T3 - T2). By hand, in ms:
// T1 = 1,000, T2 = 7,201,150, T3 = 7,201,200, T4 = 1,300: theta = (7,200,150 + 7,199,900) / 2 = 7,200,025, delta = 250.
test('an exchange gives the offset and the delay of NTP', () => {
  const found = contactOf([1_000, 50_000], [1_300, 50_300], '7201150 7201200')
  expect(found).toMatchObject({ wall: moment(1_300), within_ms: 125 })
  expect(Date.parse(found?.server ?? '') - 1_300).toBe(7_200_025)
})

test.each([
  ['the phone slept while it waited', [0, 0], [600_000, 200], '0 1'],
  ['its clock was set meanwhile', [0, 0], [-7_199_800, 200], '0 1'],
  ['it took too long to measure anything', [0, 0], [21_000, 21_000], '0 1'],
  ['the server says no time', [0, 0], [200, 200], ''],
] as const)('no exchange is recorded when %s', (_, asked, arrived, clock) => {
  expect(contactOf(asked, arrived, clock)).toBeNull()
})

const contact = (no: number, more: Partial<Contact> = {}): Contact => ({
  no,
  wall: moment(NOON_MS),
  mono_ms: 1_000,
  session: 's1',
  server: moment(NOON_MS),
  within_ms: 100,
  ...more,
})

test('the log keeps exchanges with new information: another interval, a command in between, a better measurement', () => {
  const log = [contact(1)]
  expect(withContact(log, contact(1, { within_ms: 60 }))).toBe(log)
  expect(withContact(log, contact(1, { within_ms: 40 }))).toEqual([contact(1, { within_ms: 40 })])
  expect(withContact(log, contact(2))).toHaveLength(2)
  expect(withContact(log, contact(1, { wall: moment(NOON_MS + HOUR_MS) }))).toHaveLength(2)
  expect(withContact(log, contact(1, { session: 's2' }))).toHaveLength(2)
  const many = Array.from({ length: 130 }, (_, at) => contact(at + 1)).reduce<readonly Contact[]>(
    withContact,
    [],
  )
  expect([many.length, many.at(-1)?.no]).toEqual([100, 130])
})

test('a push has the exchanges since before its first command', () => {
  const log = [1, 4, 6, 9].map((no) => contact(no))
  expect(sinceBefore(log, 6).map(({ no }) => no)).toEqual([6, 9])
  expect(sinceBefore(log, 5).map(({ no }) => no)).toEqual([4, 6, 9])
  expect(sinceBefore(log.slice(1), 2).map(({ no }) => no)).toEqual([4, 6, 9])
})

test('exchanges are stored, numbered by the next command', async () => {
  phone = await Phone.open(new FakeServer())
  const { no: _, ...measured } = contact(0)
  const log = new ContactLog(phone.shop.db)
  log.note(measured)
  shopSession.value = phone.shop
  await startClock(plainWork('shop', null))
  log.note({ ...measured, session: 's2' })
  log.note(null)
  await log.since(1)
  const found = await new ContactLog(phone.shop.db).since(1)
  expect(found.map(({ no, session }) => [no, session]).sort()).toEqual([
    [1, 's1'],
    [2, 's2'],
  ])
})

test('a worker uses the clocks of its page', () => {
  const before = stamp()
  adoptPageClock({ wall: moment(Date.now() - 1_000), mono_ms: 40_000, session: 'page' })
  const after = stamp()
  expect(after.session).toBe('page')
  expect(Math.abs(after.mono_ms - 41_000)).toBeLessThan(500)
  adoptPageClock({ wall: moment(Date.now() - HOUR_MS), mono_ms: 0, session: 'slept meanwhile' })
  expect(stamp().session).toBe('page')
  expect(before.session).not.toBe('page')
})

test('a skew within the tolerance is ignored', () => {
  expect(clockAheadMs(undefined)).toBeNull()
  expect(clockAheadMs([contact(1, { wall: moment(NOON_MS + 2_000) })])).toBe(0)
  expect(clockAheadMs([contact(1, { wall: moment(NOON_MS - 2 * HOUR_MS) })])).toBe(-2 * HOUR_MS)
})
