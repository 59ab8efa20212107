// @vitest-environment happy-dom
import { act } from 'preact/test-utils'
import { expect, test, vi } from 'vitest'
import type { Customer, Shop, Site } from '../../../domain/contract'
import { born, press, root, showScreen } from '../../fakes/screen'
import { currentRoute } from '../../router'
import { ChangeSite } from './SiteForm'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

async function shown(stopId?: string) {
  const shop = { id: 'shop', zone: 'UTC', locale: 'en-US', units: 'us' } as Shop
  const customer = { id: 'customer', name: 'Wil Marsh', address: '' } as Customer
  // As a version of the app stored it that knew no source, 560 km off.
  const row = { id: 'site', customer_id: 'customer', label: 'Home', address: '', access_notes: '' }
  return showScreen(
    (server) => {
      server.put('shop', { ...born(), ...shop })
      server.put('customer', { ...born(), ...customer })
      server.put('site', { ...born(), ...row, lat: '45.34', lon: '-98.4' } as Site)
    },
    () => <ChangeSite id="site" {...(stopId && { stopId })} />,
  )
}

async function correct(position: string) {
  const field = [...root.querySelectorAll('input')].find((each) => each.value.startsWith('45.34'))
  await act(async () => {
    if (!field) throw new Error('no position')
    field.value = position
    field.dispatchEvent(new InputEvent('input', { bubbles: true }))
  })
  await press(root.querySelector<HTMLButtonElement>('button.primary-button'))
}

test('a position that is off is corrected from its stop, and saving returns to the stop', async () => {
  const at = await shown('the-stop')
  await correct('40.34, -98.4')
  // Both coordinates, also where only one changed, and whence they come: the server takes them together.
  await vi.waitFor(() =>
    expect(at.outbox.map(({ name, args }) => ({ name, args }))).toEqual([
      {
        name: 'edit_site',
        args: {
          id: 'site',
          base: { lat: '45.34', lon: '-98.4', position_source: '', position_within_m: null },
          set: { lat: '40.34', lon: '-98.4', position_source: '', position_within_m: null },
        },
      },
    ]),
  )
  await vi.waitFor(() => expect(currentRoute.value).toEqual({ at: 'stop', id: 'the-stop' }))
})

test('without a stop it returns to the customer', async () => {
  await shown()
  await correct('40.34, -98.4')
  await vi.waitFor(() => expect(currentRoute.value).toEqual({ at: 'customer', id: 'customer' }))
})
