// @vitest-environment happy-dom
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import type { Site, Stop } from '../../../domain/contract'
import { site } from '../../../store/customers'
import { mayDo } from '../../../store/fakes/session'
import { born, press as pressOn, root, showScreen } from '../../fakes/screen'
import { KeepPosition } from './KeepPosition'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

beforeEach(() => mayDo('manage_customers'))
afterEach(() => void vi.unstubAllGlobals())

const ABOUT = { lat: '40.588', lon: '-98.391', position_source: 'postal_code', position_within_m: 6000 }

async function shown(position: object, stop: Partial<Stop> = {}) {
  const kept = { id: 'site', customer_id: 'c', label: 'Home', address: '', ...position }
  const row = { id: 'stop', site_id: 'site', lat: null, lon: null, from_rig_id: null, ...stop } as Stop
  return showScreen(
    (server) => server.put('site', { ...born(), ...kept } as Site),
    () => <KeepPosition row={row} site={site('site')} />,
  )
}

/** What the browser says of where it is. */
function phoneIsAt(answer: { latitude: number; longitude: number; accuracy: number } | null) {
  const getCurrentPosition = (found: (at: object) => void, failed: () => void) =>
    answer ? found({ coords: answer }) : failed()
  vi.stubGlobal('navigator', { geolocation: { getCurrentPosition } })
}

const press = () => pressOn(root.querySelector('button'))

test('a position by postal code is said to be one, and the phone’s own replaces it with how sure it is', async () => {
  const at = await shown(ABOUT)
  expect(root.textContent).toContain('From the postal code (GeoNames): about here, within 4 mi')
  phoneIsAt({ latitude: 40.6012345678, longitude: -98.4, accuracy: 11.2 })
  await press()
  await vi.waitFor(() =>
    expect(at.outbox.map(({ name, args }) => ({ name, args }))).toEqual([
      {
        name: 'edit_site',
        args: {
          id: 'site',
          base: ABOUT,
          set: { lat: '40.601235', lon: '-98.4', position_source: 'here', position_within_m: 12 },
        },
      },
    ]),
  )
})

test('a row that an earlier version of the app stored can be corrected', async () => {
  const at = await shown({ lat: null, lon: null })
  phoneIsAt({ latitude: 40.6, longitude: -98.4, accuracy: 11.2 })
  await press()
  await vi.waitFor(() =>
    expect(at.outbox[0]?.args).toMatchObject({
      base: { lat: null, lon: null, position_source: '', position_within_m: null },
    }),
  )
})

test('a phone that does not say where it is changes nothing', async () => {
  const at = await shown(ABOUT)
  phoneIsAt(null)
  await press()
  expect(root.textContent).toContain('Can’t get this phone’s location')
  expect(at.outbox).toEqual([])
})

test('a place that a phone was at already, and a machine that is elsewhere, have no such button', async () => {
  await shown({ ...ABOUT, position_source: 'here', position_within_m: 9 })
  expect(root.querySelector('button')).toBeNull()
  expect(root.textContent).toBe('From a phone at the place')
  await shown(ABOUT, { lat: '40.1', lon: '-98.4' })
  expect(root.textContent).toBe('')
})
