// @vitest-environment happy-dom
import { beforeEach, expect, test, vi } from 'vitest'
import type { Rig, Run as RunRow, Shop, Stop } from '../../../domain/contract'
import { daysAfter } from '../../../domain/time'
import { mayDo } from '../../../store/fakes/session'
import { born as bornAt, button, press as pressOn, root, showScreen } from '../../fakes/screen'
import { today } from '../../shopFormat'
import { Run } from './Run'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

beforeEach(() => mayDo('drive_runs'))

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
  const born = bornAt()
  const shop = { zone: 'UTC', week_start: 'monday', locale: 'en-US', currency: 'USD', units: 'us' }
  const day = daysAfter(today(), ahead)
  const lists = { cautions: [], margins: [], decks: [], legs: [] }
  const run = { id: 'run', rig_id: 'rig', driver_id: null, day, state: 'planned', metres: null, ...lists }
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
  return showScreen(
    (server) => {
      server.put('shop', { ...born, id: 'shop', ...shop } as Shop)
      server.put('rig', { ...born, id: 'rig', name: 'Blue truck', out_at: null } as Rig)
      server.put('run', { ...born, ...run } as unknown as RunRow)
      server.put('stop', { ...born, ...stop, ...where, ...TIMES } as Stop)
    },
    () => <Run id="run" />,
  )
}

const press = (text: string) => pressOn(button(text))

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
