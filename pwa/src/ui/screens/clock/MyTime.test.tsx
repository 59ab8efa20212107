// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import type { Member, Permission, Shop, TimeEntry } from '../../../domain/contract'
import { moment } from '../../../domain/time'
import { mayDo } from '../../../store/fakes/session'
import { born, root, showScreen } from '../../fakes/screen'
import { MyTime } from './MyTime'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

const ME = '0197c000-0000-7000-8000-00000000000a'
const OTHER = '0197c000-0000-7000-8000-00000000000b'

async function shown(memberId?: string, ...may: Permission[]) {
  mayDo(...may)
  const started_at = moment(Date.now() - 3_600_000)
  const at = born(started_at)
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
  await showScreen(
    (server) => {
      server.put('shop', { ...at, id: 'shop', ...shop } as Shop)
      server.put('member', { ...at, id: OTHER, name: 'Bram Aldous' } as Member)
      server.put('member', { ...at, id: ME, name: 'Ines Okafor' } as Member)
      server.put('time_entry', { ...at, ...entry, ...span, start_skew_ms: 0, end_skew_ms: 0 } as TimeEntry)
    },
    () => <MyTime memberId={memberId} />,
    ME,
  )
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
