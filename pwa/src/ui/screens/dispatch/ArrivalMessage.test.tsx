// @vitest-environment happy-dom
import { beforeEach, expect, test, vi } from 'vitest'
import type { Customer, Job, Stop } from '../../../domain/contract'
import { mayDo } from '../../../store/fakes/session'
import { born, root, showScreen } from '../../fakes/screen'
import { ArrivalMessage } from './ArrivalMessage'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

beforeEach(() => mayDo('drive_runs'))

test.each([
  ['en', 'we are on our way to you and expect to be there between', 'vamos en camino'],
  ['es', 'vamos en camino a su dirección. Hora de llegada prevista: de', 'on our way'],
] as const)(
  'the text from this phone is in the language of the customer: %s',
  async (language, says, not) => {
    const stop = {
      arrives_from: null,
      arrives_to: null,
      arrives_at: null,
      id: 'stop',
      job_id: 'job',
      kind: 'return',
      state: 'planned',
      site_id: 'site',
    }
    await showScreen(
      (server) => {
        const person = { id: 'c', name: 'Winnie Stroud', phone: '+15555550100', email: '', language }
        server.put('customer', { ...born(), ...person } as Customer)
        server.put('job', { ...born(), id: 'job', customer_id: 'c', machine_id: 'm' } as Job)
        server.put('stop', { ...born(), ...stop } as Stop)
      },
      () => <ArrivalMessage id="stop" />,
    )
    expect(root.querySelector('p.multiline')?.textContent).toContain(says)
    const sms = decodeURIComponent(root.querySelector('a[href^="sms:"]')?.getAttribute('href') ?? '')
    expect(sms).toContain(says)
    expect(sms).not.toContain(not)
  },
)
