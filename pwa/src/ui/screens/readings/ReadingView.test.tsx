// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import type { Job, Limit, Machine, Reading, ReadingLimit } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { readingView as t } from '../../../domain/words/readings'
import { sheets } from '../../../domain/words/sheets'
import { allOf } from '../../../store/rows/selectors'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { ReadingView } from './ReadingView'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set()), session: signal({ member: { id: 'me' } }) }
})

const LIMIT: ReadingLimit = {
  what: 'Coil air gap',
  quantity: 'length',
  unit: 'mm',
  nominal: '',
  tolerance: '',
  low: '0.20',
  high: '0.60',
  condition: 'Cold',
  manual: '',
  page: '',
  critical: false,
  limit_id: null,
  version: 0,
}

const showReading = (limit: ReadingLimit | null) =>
  showScreen(
    (server) => {
      const made = born()
      const about = { ...made, kind: 'mower', make: 'Hartvale', model: 'M 21' }
      server.put('machine', { ...DEFAULTS.machine, ...about, id: 'machine' } as Machine)
      server.put('job', {
        ...DEFAULTS.job,
        ...made,
        id: 'job',
        machine_id: 'machine',
        customer_id: 'c',
      } as Job)
      const read = {
        job_id: 'job',
        what: 'Coil air gap',
        value: '0.30',
        unit: 'mm',
        taken_at: made.created_at,
      }
      server.put('reading', { ...DEFAULTS.reading, ...made, ...read, id: 'reading', limit } as Reading)
    },
    () => <ReadingView id="reading" />,
  )

test('a limit typed at a reading is kept for the next machine in one press', async () => {
  await showReading(LIMIT)
  await press(button(t.keepLimit))
  const { limit_id: _, version: __, ...kept } = LIMIT
  expect(allOf('limit')).toMatchObject([{ ...kept, machine_id: 'machine' } satisfies Partial<Limit>])
  expect(button(t.keepLimit)).toBe(undefined)
  expect(root.textContent).toContain(sheets.kept('Hartvale M 21'))
})

test('no limit, or one of a sheet: nothing to keep', async () => {
  await showReading(null)
  expect(button(t.keepLimit)).toBe(undefined)
  await showReading({ ...LIMIT, limit_id: 'a limit', version: 1 })
  expect(button(t.keepLimit)).toBe(undefined)
})
