// @vitest-environment happy-dom
import type { Signal } from '@preact/signals'
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test, vi } from 'vitest'
import type { Member, Shop, TimeEntry } from '../../../domain/contract'
import { moment } from '../../../domain/time'
import { newId } from '../../../store/browser/clock'
import { Phone } from '../../../store/fakes/phone'
import { FakeServer } from '../../../store/fakes/server'
import { shopSession } from '../../../store/session/shopSession'
import { MyTime } from './MyTime'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set()) }
})

const ME = '0197c000-0000-7000-8000-00000000000a'
const OTHER = '0197c000-0000-7000-8000-00000000000b'
const root = document.createElement('div')
document.body.append(root)
let phone: Phone | undefined

afterEach(async () => {
  await act(() => render(null, root))
  shopSession.value = null
  await phone?.close()
})

async function shown(memberId?: string, ...may: string[]) {
  const { permissions } = await import('../../../store/session/session')
  ;(permissions as Signal<ReadonlySet<string>>).value = new Set(may)
  const server = new FakeServer()
  const started_at = moment(Date.now() - 3_600_000)
  const born = { created_at: started_at, changed_at: started_at }
  const entry = { id: 'entry', member_id: OTHER, kind: 'errand', job_id: null, operation: '', line_id: null }
  const span = {
    started_at,
    ended_at: null,
    device_ended_at: null,
    state: 'open',
    anomaly: '',
    reason: '',
    cause: '',
  }
  const shop = { zone: 'America/Boise', week_start: 'monday', locale: 'en-US', currency: 'USD' }
  server.put('shop', { ...born, id: 'shop', ...shop } as Shop)
  server.put('member', { ...born, id: OTHER, name: 'Bram Aldous' } as Member)
  server.put('member', { ...born, id: ME, name: 'Ines Okafor' } as Member)
  server.put('time_entry', { ...born, ...entry, ...span, start_skew_ms: 0, end_skew_ms: 0 } as TimeEntry)
  phone = await Phone.open(server, { shop_id: newId(), member_id: ME })
  await phone.sync()
  shopSession.value = phone.shop
  await act(() => render(<MyTime memberId={memberId} />, root))
  return root
}

test('a member who may correct others chooses the member, their own first', async () => {
  const own = await shown(undefined, 'correct_time')
  const options = [...own.querySelectorAll('option')].map(({ value, textContent }) => [value, textContent])
  expect(options).toEqual([
    [ME, 'My time'],
    [OTHER, 'Bram Aldous'],
  ])
  expect(own.querySelector('a[href="/times/entry/fix"]')).toBeNull()
  await phone?.close()
  const bram = await shown(OTHER, 'correct_time')
  expect(bram.textContent).toContain('Time: Bram Aldous')
  expect(bram.querySelector('a[href="/times/entry/fix"]')).not.toBeNull()
  expect(bram.querySelector(`a[href="/add-time?member=${OTHER}"]`)).not.toBeNull()
})

test('other members get no choice, nor another member’s week by its address', async () => {
  const own = await shown(OTHER, 'clock')
  expect(own.querySelector('select')).toBeNull()
  expect(own.querySelector('a[href="/times/entry/fix"]')).toBeNull()
  expect(own.textContent).not.toContain('Bram')
})
