// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test, vi } from 'vitest'
import type { Rig, Run as RunRow, Shop, Stop } from '../../../domain/contract'
import { daysAfter, moment } from '../../../domain/time'
import { newId } from '../../../store/browser/clock'
import { Phone } from '../../../store/fakes/phone'
import { FakeServer } from '../../../store/fakes/server'
import { shopSession } from '../../../store/session/shopSession'
import { today } from '../../shopFormat'
import { Run } from './Run'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set(['drive_runs'])), session: signal({ tiles: null, member: null }) }
})

const root = document.createElement('div')
document.body.append(root)
let phone: Phone | undefined

afterEach(async () => {
  await act(() => render(null, root))
  shopSession.value = null
  await phone?.close()
})

const TIMES = {
  notified_from: '2026-05-05T15:00:00.000Z',
  notified_to: '2026-05-05T16:00:00.000Z',
  arrives_from: '2026-05-05T15:05:00.000Z',
  arrives_at: '2026-05-05T15:20:00.000Z',
  arrives_to: '2026-05-05T15:40:00.000Z',
  leaves_at: '2026-05-05T15:50:00.000Z',
}

/** A run so many days ahead, with one stop. */
async function shown(ahead: number) {
  const server = new FakeServer()
  const born = { created_at: moment(Date.now()), changed_at: moment(Date.now()) }
  const shop = { zone: 'UTC', week_start: 'monday', locale: 'en-US', currency: 'USD', units: 'us' }
  server.put('shop', { ...born, id: 'shop', ...shop } as Shop)
  server.put('rig', { ...born, id: 'rig', name: 'Blue truck', out_at: null } as Rig)
  const day = daysAfter(today(), ahead)
  const lists = { cautions: [], margins: [], decks: [], legs: [] }
  const run = { id: 'run', rig_id: 'rig', driver_id: null, day, state: 'planned', metres: null, ...lists }
  server.put('run', { ...born, ...run } as unknown as RunRow)
  const where = { site_id: 'site', lat: null, lon: null, place: '', from_rig_id: null }
  const stop = {
    id: 'stop',
    job_id: 'job',
    run_id: 'run',
    kind: 'pickup',
    state: 'planned',
    trip: 0,
    position: 0,
  }
  server.put('stop', { ...born, ...stop, ...where, ...TIMES } as Stop)
  phone = await Phone.open(server, { shop_id: newId(), member_id: newId() })
  await phone.sync()
  shopSession.value = phone.shop
  await act(() => render(<Run id="run" />, root))
  return phone
}

const button = (text: string) =>
  [...root.querySelectorAll('button')].find((each) => each.textContent?.startsWith(text))
async function press(text: string) {
  await act(async () => {
    button(text)?.click()
    await new Promise((resolve) => setTimeout(resolve, 20))
    await phone?.quiet()
  })
}

test('a run of today starts at one tap', async () => {
  const at = await shown(0)
  await press('Start the run')
  await vi.waitFor(() => expect(at.outbox.map(({ name }) => name)).toEqual(['start_run']))
})

test('one of tomorrow starts only by a choice that says so', async () => {
  const at = await shown(1)
  expect(button('Start the run')).toBeUndefined()
  expect(root.textContent).toMatch(/This run is for \w+, \w+ \d+, not today/)
  await press('Start it today anyway')
  expect(at.outbox).toEqual([])
  await press('Start the run')
  await vi.waitFor(() => expect(at.outbox.map(({ name }) => name)).toEqual(['start_run']))
})

test('every span of time of a stop says what it is', async () => {
  await shown(0)
  const text = root.textContent?.replaceAll(/\s/gu, ' ') ?? ''
  expect(text).toContain('Planned arrival: 3:05 PM to 3:40 PM')
  expect(text).toContain('Promised: 3:00 PM to 4:00 PM')
  expect(text).toContain('Planned stay: 3:20 PM to 3:50 PM')
})
