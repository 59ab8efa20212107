// @vitest-environment happy-dom
import { act } from 'preact/test-utils'
import { beforeEach, expect, test, vi } from 'vitest'
import type { Finding, Job, Quote, QuoteLine } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { basis } from '../../../store/fakes/book'
import type { FakeServer } from '../../../store/fakes/server'
import { mayDo } from '../../../store/fakes/session'
import { linesOf } from '../../../store/quotes'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { AddLine } from './LineForm'
import { firstLine } from './newLine'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

beforeEach(() => mayDo('quote', 'see_cost'))

const row = { ...DEFAULTS.quote, id: 'quote', job_id: 'job', basis, state: 'draft' } as unknown as Quote

/** A quote with two works about one finding: "first" and "second". */
function fill(server: FakeServer): void {
  server.put('job', { ...DEFAULTS.job, ...born(), id: 'job', machine_id: 'machine' } as Job)
  server.put('finding', {
    ...DEFAULTS.finding,
    ...born(),
    id: 'worn',
    job_id: 'job',
    words: 'Belt worn',
  } as Finding)
  server.put('quote', { ...row, ...born() })
  for (const [position, id] of ['first', 'second'].entries())
    server.put('quote_line', {
      ...DEFAULTS.quote_line,
      ...born(),
      id,
      quote_id: 'quote',
      kind: 'labor',
      position,
      words: `The ${id} work`,
      hours: '1',
      finding_id: 'worn',
    } as QuoteLine)
}

async function type(label: string, text: string): Promise<void> {
  const named = [...root.querySelectorAll('label')].find((each) => each.textContent?.includes(label))
  const field = root.querySelector<HTMLInputElement>(`[id="${named?.htmlFor}"]`)
  expect(field, label).toBeTruthy()
  await act(() => {
    if (field) field.value = text
    field?.dispatchEvent(new Event('input', { bubbles: true }))
  })
}

const parts = () => linesOf('quote').filter(({ kind }) => kind === 'part')

test('the next part belongs to the work of the one before', async () => {
  await showScreen(fill, () => <AddLine id="quote" kind="part" workId="second" findingId="worn" />)
  for (const [at, name] of ['Belt', 'Pulley', 'Spring'].entries()) {
    await type('What the part is', name)
    await type('Price, each', '10')
    await press(button('Add another'))
    await vi.waitFor(() => expect(parts()).toHaveLength(at + 1))
  }
  expect(parts().map(({ belongs_to_id, finding_id }) => [belongs_to_id, finding_id])).toEqual(
    Array(3).fill(['second', 'worn']),
  )
})

test('of several works about one finding a line belongs to the one that is asked for', async () => {
  await showScreen(fill, () => <p />)
  const workOf = (workId: string) => firstLine(row, 'part', { findingId: 'worn', workId }, '').workId
  expect([workOf('second'), workOf('first'), workOf('')]).toEqual(['second', 'first', 'first'])
})
