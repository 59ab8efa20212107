import { expect, test } from 'vitest'
import { NoSignal, Problem } from '../../api/problem'
import { SyncScheduler } from './scheduler'
import { SyncStopped } from './syncRound'
import type { SyncStatus } from './tabChannel'

/** A scheduler with scripted rounds and a manual clock. */
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

test('runs by itself about every 45 seconds', async () => {
  const { wake, whenDue, waits, rounds, last } = drive()
  await wake()
  await whenDue()
  expect(rounds()).toBe(2)
  expect(waits).toEqual([45_000, 45_000])
  expect(last()).toEqual({ signal: 'yes', working: false, stopped: null, no_room: false })
})

test('waits longer after each failure, at most half a minute, and resets after success', async () => {
  const dead = Array.from({ length: 9 }, () => new NoSignal('dead line'))
  const { wake, whenDue, waits, last } = drive(...dead, null, new NoSignal('again'))
  await wake()
  for (let at = 0; at < 10; at++) await whenDue()
  expect(waits.map((ms) => ms / 1000)).toEqual([1.5, 1.5, 3, 6, 12, 22.5, 22.5, 22.5, 22.5, 45, 1.5])
  expect(last()).toMatchObject({ signal: 'no' })
})

test('saves without a signal are tried at once and do not lengthen the wait', async () => {
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

test('any number of wakes during a round cause one more round', async () => {
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

test('reports why it waits for a person, until a round succeeds', async () => {
  const { wake, last } = drive(new SyncStopped('signed_out'), new NoSignal('dead line'), null)
  await wake()
  expect(last()).toMatchObject({ stopped: 'signed_out', signal: 'yes' })
  await wake()
  expect(last()).toMatchObject({ stopped: 'signed_out', signal: 'no' })
  await wake()
  expect(last()).toMatchObject({ stopped: null, signal: 'yes' })
})

test('full storage is reported until there is room', async () => {
  const full = new DOMException('no room', 'QuotaExceededError')
  const { wake, last } = drive(full, null)
  await wake()
  expect(last()).toMatchObject({ no_room: true })
  await wake()
  expect(last()).toMatchObject({ no_room: false })
})
