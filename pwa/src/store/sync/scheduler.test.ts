import { expect, test } from 'vitest'
import { NoSignal, Problem } from '../../api/problem'
import { SyncScheduler } from './scheduler'
import { SyncStopped } from './syncRound'
import type { SyncStatus } from './tabChannel'

/** A driver whose rounds end as told, on a clock that stands still. */
function drive(...ends: (Error | null)[]) {
  const waits: number[] = []
  const pulses: SyncStatus[] = []
  let rounds = 0
  let due: () => void = () => undefined
  const driver = new SyncScheduler({
    round: async () => {
      const end = ends[rounds++] ?? null
      if (end) throw end
    },
    report: (pulse) => pulses.push(pulse),
    after: (ms, then) => {
      waits.push(ms)
      due = then
      return () => {
        due = () => undefined
      }
    },
    random: () => 0.5,
  })
  const settle = () => new Promise((resolve) => setTimeout(resolve, 0))
  return {
    driver,
    waits,
    rounds: () => rounds,
    last: () => pulses.at(-1),
    wake: () => {
      driver.wake()
      return settle()
    },
    whenDue: () => {
      due()
      return settle()
    },
  }
}

test('goes on by itself every 45 seconds, give or take', async () => {
  const { wake, whenDue, waits, rounds, last } = drive()
  await wake()
  await whenDue()
  expect(rounds()).toBe(2)
  expect(waits).toEqual([45_000, 45_000])
  expect(last()).toEqual({ signal: 'yes', working: false, stopped: null, no_room: false })
})

test('waits longer after each failure, at most half a minute, and starts afresh after success', async () => {
  const dead = Array.from({ length: 9 }, () => new NoSignal('dead line'))
  const { wake, whenDue, waits, last } = drive(...dead, null, new NoSignal('again'))
  await wake()
  for (let at = 0; at < 10; at++) await whenDue()
  expect(waits.map((ms) => ms / 1000)).toEqual([1.5, 1.5, 3, 6, 12, 22.5, 22.5, 22.5, 22.5, 45, 1.5])
  expect(last()).toMatchObject({ signal: 'no' })
})

test('saves with no signal are tried at once and do not make the wait any longer', async () => {
  const dead = Array.from({ length: 14 }, () => new NoSignal('dead line'))
  const { wake, whenDue, waits, rounds, last } = drive(...dead)
  await wake()
  for (let saves = 0; saves < 12; saves++) await wake()
  expect(rounds()).toBe(13)
  expect(waits.every((ms) => ms === 1_500)).toBe(true)
  await whenDue()
  await whenDue()
  expect(last()).toMatchObject({ signal: 'yes' })
})

test('waits at least as long as the server asks', async () => {
  const { wake, waits, last } = drive(new Problem(503, {}, 90))
  await wake()
  expect(waits).toEqual([90_000])
  expect(last()).toMatchObject({ signal: 'yes' })
})

test('a wake in the middle of a round makes one more round, however many there were', async () => {
  const { driver, wake, rounds } = drive()
  driver.wake()
  driver.wake()
  driver.wake()
  await wake()
  expect(rounds()).toBe(2)
})

test('being woken during a long wait tries at once', async () => {
  const { wake, rounds, last } = drive(new NoSignal('dead line'))
  await wake()
  await wake()
  expect(rounds()).toBe(2)
  expect(last()).toMatchObject({ signal: 'yes' })
})

test('says why it waits for a person, until a round goes well again', async () => {
  const { wake, last } = drive(new SyncStopped('signed_out'), new NoSignal('dead line'), null)
  await wake()
  expect(last()).toMatchObject({ stopped: 'signed_out', signal: 'yes' })
  await wake()
  expect(last()).toMatchObject({ stopped: 'signed_out', signal: 'no' })
  await wake()
  expect(last()).toMatchObject({ stopped: null, signal: 'yes' })
})

test('a phone too full for what comes says so, until there is room', async () => {
  const full = new DOMException('no room', 'QuotaExceededError')
  const { wake, last } = drive(full, null)
  await wake()
  expect(last()).toMatchObject({ no_room: true })
  await wake()
  expect(last()).toMatchObject({ no_room: false })
})
