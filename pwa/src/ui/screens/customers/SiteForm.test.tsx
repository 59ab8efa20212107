// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test, vi } from 'vitest'
import type { Customer, Shop, Site } from '../../../domain/contract'
import { moment } from '../../../domain/time'
import { newId } from '../../../store/browser/clock'
import { Phone } from '../../../store/fakes/phone'
import { FakeServer } from '../../../store/fakes/server'
import { shopSession } from '../../../store/session/shopSession'
import { currentRoute } from '../../router'
import { ChangeSite } from './SiteForm'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set()), session: signal({ tiles: null }) }
})

const root = document.createElement('div')
document.body.append(root)
let phone: Phone | undefined

afterEach(async () => {
  await act(() => render(null, root))
  shopSession.value = null
  await phone?.close()
})

async function shown(stopId?: string) {
  const server = new FakeServer()
  const born = { created_at: moment(Date.now()), changed_at: moment(Date.now()) }
  server.put('shop', { ...born, id: 'shop', zone: 'UTC', locale: 'en-US', units: 'us' } as Shop)
  server.put('customer', { ...born, id: 'customer', name: 'Wil Marsh', address: '' } as Customer)
  // As a version of the app stored it that knew no source, 560 km off.
  const row = { id: 'site', customer_id: 'customer', label: 'Home', address: '', access_notes: '' }
  server.put('site', { ...born, ...row, lat: '45.34', lon: '-98.4' } as Site)
  phone = await Phone.open(server, { shop_id: newId(), member_id: newId() })
  await phone.sync()
  shopSession.value = phone.shop
  await act(() => render(<ChangeSite id="site" {...(stopId && { stopId })} />, root))
  return phone
}

async function correct(position: string) {
  const field = [...root.querySelectorAll('input')].find((each) => each.value.startsWith('45.34'))
  await act(async () => {
    if (!field) throw new Error('no position')
    field.value = position
    field.dispatchEvent(new InputEvent('input', { bubbles: true }))
  })
  await act(async () => {
    root.querySelector<HTMLButtonElement>('button.primary-button')?.click()
    await new Promise((resolve) => setTimeout(resolve, 20))
    await phone?.quiet()
  })
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
