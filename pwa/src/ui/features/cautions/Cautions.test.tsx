// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import { cautions as t } from '../../../domain/words/cautions'
import { allOf } from '../../../store/rows/selectors'
import { button, press, root, showScreen } from '../../fakes/screen'
import { Cautions } from './Cautions'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set()), session: signal({ member: { id: 'me' } }) }
})

test('cautions are shown once a job to each member, and stay readable', async () => {
  await showScreen(
    (server) =>
      server.put('caution_seen', {
        id: 'seen',
        job_id: 'job',
        code: 'fuel',
        member_id: 'somebody else',
        seen_at: '2026-05-02T10:00:00.000Z',
        created_at: '2026-05-02T10:00:00.000Z',
        changed_at: '2026-05-02T10:00:00.000Z',
      } as never),
    () => <Cautions job="job" codes={['fuel', 'springs']} />,
    'me',
  )
  // What somebody else has read is still shown to this member.
  expect(root.querySelector('.caution')?.textContent).toContain(t.texts.fuel)
  await press(button(t.gotIt))
  expect(root.querySelector('.caution')).toBe(null)
  expect(root.querySelector('details summary')?.textContent).toBe(
    `${t.seen}${t.titles.fuel}, ${t.titles.springs}`,
  )
  expect(allOf('caution_seen').map(({ code, member_id }) => [code, member_id])).toEqual([
    ['fuel', 'somebody else'],
    ['fuel', 'me'],
    ['springs', 'me'],
  ])
})
