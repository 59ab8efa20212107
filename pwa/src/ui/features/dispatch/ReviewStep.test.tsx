// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import type { Shop, Stop } from '../../../domain/contract'
import { born, root, showScreen } from '../../fakes/screen'
import { BLANK_HAND_OVER, type HandOverDraft, handedOver } from './handOverDraft'
import { Recap } from './ReviewStep'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

const shop = { id: 'shop', zone: 'UTC', week_start: 'monday', locale: 'en-US', currency: 'USD', units: 'us' }

/** What is signed at a stop of this kind. */
async function recap(kind: Stop['kind'], fields: Partial<HandOverDraft>): Promise<string[][]> {
  const row = { ...born(), id: 'stop', job_id: 'job', site_id: 'site', kind, state: 'arrived' } as Stop
  const draft = { ...BLANK_HAND_OVER, ...fields }
  await showScreen(
    (server) => {
      server.put('shop', { ...born(), ...shop } as Shop)
      server.put('stop', row)
    },
    () => <Recap row={row} fields={draft} />,
  )
  // What is shown is what is stored and signed.
  expect(handedOver(row, draft).meter).toEqual(
    draft.hours ? { hours: draft.hours, new_segment: draft.fresh } : null,
  )
  return [...root.querySelectorAll('dt')].map((name) => [
    name.textContent ?? '',
    name.nextElementSibling?.textContent ?? '',
  ])
}

test.each(['pickup', 'return', 'visit'] as const)(
  'the meter that is signed at a %s is shown',
  async (kind) => {
    expect(await recap(kind, { hours: '612.4' })).toContainEqual(['Hour meter', '612.4 h'])
  },
)

test('a meter that was not read has no line', async () => {
  expect((await recap('return', {})).map(([name]) => name)).not.toContain('Hour meter')
})
