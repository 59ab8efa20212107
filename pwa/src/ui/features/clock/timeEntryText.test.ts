import { afterEach, expect, test, vi } from 'vitest'
import type { TimeEntry } from '../../../domain/contract'
import { moment } from '../../../domain/time'
import { newId } from '../../../store/browser/clock'
import { Phone } from '../../../store/fakes/phone'
import { FakeServer } from '../../../store/fakes/server'
import { shopSession } from '../../../store/session/shopSession'
import { ContactLog } from '../../../store/sync/serverContacts'
import { plainWork, running, startClock } from '../../../store/timeEntries'
import { minutesOf, startMoment } from './timeEntryText'

const HOUR_MS = 3_600_000
const NOON_MS = Date.parse('2026-05-04T12:00:00Z')
let phone: Phone | undefined

afterEach(async () => {
  vi.useRealTimers()
  shopSession.value = null
  await phone?.close()
})

test('a running clock shows the time that the server will book, also when the phone’s clock is corrected', async () => {
  vi.useFakeTimers({ now: NOON_MS - 2 * HOUR_MS, toFake: ['Date'] })
  phone = await Phone.open(new FakeServer(), { shop_id: newId(), member_id: newId() })
  const log = new ContactLog(phone.shop.db)
  const wrong = moment(NOON_MS - 2 * HOUR_MS)
  const measured = { wall: wrong, mono_ms: 1_000, session: 's1', server: moment(NOON_MS), within_ms: 100 }
  log.note(measured)
  await log.since(1)
  await phone.shop.readRowsAndOutbox()
  shopSession.value = phone.shop
  await startClock(plainWork('shop', null))
  const runs = () => running.value[0] as TimeEntry
  expect(runs()).toMatchObject({
    started_at: moment(NOON_MS),
    device_started_at: moment(NOON_MS - 2 * HOUR_MS),
    start_skew_ms: -2 * HOUR_MS,
  })
  // Ten minutes later the clock is corrected, and the server is reached.
  vi.setSystemTime(NOON_MS + 600_000)
  const now = moment(NOON_MS + 600_000)
  log.note({ ...measured, wall: now, server: now, mono_ms: 601_000 })
  await log.since(1)
  await phone.shop.readRowsAndOutbox()
  expect([minutesOf(runs(), Date.now()), startMoment(runs())]).toEqual([10, moment(NOON_MS)])
})
