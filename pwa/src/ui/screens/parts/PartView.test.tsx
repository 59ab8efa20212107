// @vitest-environment happy-dom
import { beforeEach, expect, test, vi } from 'vitest'
import type { Job, Machine, PartNeed } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { parts as t } from '../../../domain/words/parts'
import type { FakeServer } from '../../../store/fakes/server'
import { mayDo } from '../../../store/fakes/session'
import { allOf } from '../../../store/rows/selectors'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { JobParts } from './JobParts'
import { PartView } from './PartView'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

beforeEach(() => mayDo())

const NEED = { job_id: 'job', description: 'Deck belt', number: '754-1', quantity: '1', state: 'arrived' }

const show = (
  need: Partial<PartNeed>,
  screen = () => <PartView id="need" />,
  more: (server: FakeServer) => void = () => {},
) =>
  showScreen((server) => {
    const made = born()
    const about = { ...made, kind: 'mower', make: 'Hartvale', model: 'M 21' }
    server.put('machine', { ...DEFAULTS.machine, ...about, id: 'machine' } as Machine)
    server.put('job', {
      ...DEFAULTS.job,
      ...made,
      id: 'job',
      machine_id: 'machine',
      customer_id: 'c',
      waits_on: [],
    } as unknown as Job)
    server.put('part_need', { ...DEFAULTS.part_need, ...made, ...NEED, ...need, id: 'need' } as PartNeed)
    more(server)
  }, screen)

const stored = () => allOf('part_need')[0]

test('a part that costs more than agreed warns before it is fitted', async () => {
  await show({ agreed_minor: 1400, price_minor: 1650 })
  expect(root.querySelector('.caution')?.textContent).toContain('2.50')
  expect(root.querySelector('a[href="/jobs/job"].button')?.textContent).toBe(t.ask)
  await press(button(t.fitAnyway))
  expect(stored()?.state).toBe('fitted')
  expect(stored()?.fitted_at).toBeTruthy()
})

test('who sees no costs is told to ask the office, without a figure', async () => {
  await show({ agreed_minor: 1400, cost_minor: null, price_minor: null, above_agreed: true })
  expect(root.querySelector('.caution')?.textContent).toContain(t.aboveUnseen)
  expect(root.querySelector('.caution')?.textContent).not.toMatch(/\d/u)
  await press(button(t.fitAnyway))
  expect(stored()?.state).toBe('fitted')
})

test('parts are not fitted all at once where one costs more than agreed, whoever looks', async () => {
  const belt = { id: 'second', job_id: 'job', description: 'Belt', state: 'arrived' }
  const dearer = { state: 'arrived', agreed_minor: 1400, cost_minor: null, price_minor: null } as const
  const second = (server: FakeServer) =>
    server.put('part_need', { ...DEFAULTS.part_need, ...born(), ...belt } as PartNeed)
  const all = () => [...root.querySelectorAll('button')].some((each) => each.textContent === t.allFitted)
  await show({ ...dearer, above_agreed: true }, () => <JobParts id="job" />, second)
  expect([all(), root.textContent?.includes(t.aboveUnseen)]).toEqual([false, true])
  await show({ ...dearer, above_agreed: false }, () => <JobParts id="job" />, second)
  expect([all(), root.textContent?.includes(t.aboveUnseen)]).toEqual([true, false])
})

test('one at the agreed price is fitted in one press', async () => {
  await show({ agreed_minor: 1400, price_minor: 1400 })
  expect(root.querySelector('.caution')).toBe(null)
  await press(button(t.fit))
  expect(stored()?.state).toBe('fitted')
})

test('a part on its way keeps its job waiting; once it has come it does not', async () => {
  await show({ state: 'ordered' })
  await press(button(t.moves.back_ordered))
  expect([stored()?.state, allOf('job')[0]?.waits_on]).toEqual(['back_ordered', ['parts']])
  await press(button(t.moves.arrived))
  expect([stored()?.state, allOf('job')[0]?.waits_on]).toEqual(['arrived', []])
})

test('the list of a job has its parts by how far they are', async () => {
  await show({ state: 'back_ordered' }, () => <JobParts id="job" />)
  const section = root.querySelector('section')
  expect(section?.querySelector('h2')?.textContent).toContain(t.groups.onTheWay)
  expect(section?.textContent).toContain('754-1')
})

test('a part that nobody has ordered leads to its order, for who may order', async () => {
  const link = () => root.querySelector('a[href="/order-parts?supplier=oakline"]')
  await show({ state: 'wanted', supplier_id: 'oakline' })
  expect(link()).toBe(null)
  mayDo('order_parts')
  await show({ state: 'wanted', supplier_id: 'oakline' })
  expect(link()?.textContent).toBe(t.order)
  await show({ state: 'wanted', supplier_id: 'oakline' }, () => <JobParts id="job" />)
  expect(link()?.textContent).toBe(t.orderThese)
  await show({ state: 'arrived', supplier_id: 'oakline' })
  expect(link()).toBe(null)
})

test('all parts that are here are fitted in one press, unless one is dearer than agreed', async () => {
  const other = (price_minor: number) => (server: FakeServer) => {
    const more = { ...DEFAULTS.part_need, ...born(), ...NEED, id: 'other', agreed_minor: 1400, price_minor }
    server.put('part_need', more as PartNeed)
  }
  await show({}, () => <JobParts id="job" />, other(1650))
  expect(button(t.allFitted)).toBe(undefined)
  await show({}, () => <JobParts id="job" />, other(1400))
  await press(button(t.allFitted))
  expect(allOf('part_need').map(({ state }) => state)).toEqual(['fitted', 'fitted'])
})
