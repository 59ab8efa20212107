// @vitest-environment happy-dom
import { beforeEach, expect, test, vi } from 'vitest'
import type { PartOrder, PartOrderLine, Rig, Run, Shop, Stop, Supplier } from '../../../domain/contract'
import type { FakeServer } from '../../../store/fakes/server'
import { mayDo } from '../../../store/fakes/session'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { FetchOnRun } from '../../features/orders/FetchOnRun'
import { today } from '../../shopFormat'
import { StopView } from './StopView'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

beforeEach(() => mayDo('drive_runs', 'work_jobs'))

const SUPPLIER = {
  id: 'oakline',
  name: 'Oakline Supply',
  phone: '402 555 0177',
  address: '12 Mill Road',
  lat: '40.34',
  lon: '-98.4',
  opens: '08:00',
  closes: '17:00',
  open_on: ['monday', 'friday'],
  stop_minutes: 10,
  archived: false,
}
const LINE = {
  id: 'line',
  order_id: 'order',
  need_id: null,
  catalog_part_id: null,
  number: 'BX-41',
  description: 'Deck belt',
  quantity: '2',
  cost_minor: null,
  core_minor: 0,
  answer: 'confirmed',
  promised_on: null,
  position: 0,
}

/** A supplier with two lines to come, a run of today, and with a state a stop there. */
function fill(server: FakeServer, state?: Stop['state']) {
  const shop = { zone: 'UTC', week_start: 'monday', locale: 'en-US', currency: 'USD', units: 'us' }
  server.put('shop', { ...born(), id: 'shop', ...shop } as Shop)
  server.put('supplier', { ...born(), ...SUPPLIER } as unknown as Supplier)
  const order = { id: 'order', supplier_id: 'oakline', number: 'PO-1001', mark: '', state: 'sent' }
  server.put('part_order', { ...born(), ...order, promised_on: null } as unknown as PartOrder)
  server.put('part_order_line', { ...born(), ...LINE } as unknown as PartOrderLine)
  const other = { ...LINE, id: 'other', description: 'Idler', position: 1 }
  server.put('part_order_line', { ...born(), ...other } as unknown as PartOrderLine)
  server.put('rig', { ...born(), id: 'rig', name: 'Blue truck', out_at: null, active: true } as Rig)
  const lists = { cautions: [], margins: [], decks: [], legs: [] }
  const run = { id: 'run', rig_id: 'rig', driver_id: null, day: today(), state: 'planned', ...lists }
  server.put('run', { ...born(), ...run } as unknown as Run)
  if (!state) return
  const nowhere = { job_id: null, site_id: null, lat: null, lon: null, place: '', from_rig_id: null }
  const stop = {
    id: 'stop',
    kind: 'fetch',
    supplier_id: 'oakline',
    run_id: 'run',
    trip: 0,
    position: 0,
    state,
  }
  const arrived_at = state === 'planned' ? null : '2026-05-05T15:00:00.000Z'
  const rest = { windows: [], needs: [], notes: '', failure: '', arrived_at, left_at: null }
  server.put('stop', { ...born(), ...nowhere, ...stop, ...rest } as unknown as Stop)
}

const sent = (at: Awaited<ReturnType<typeof showScreen>>) =>
  at.outbox.map(({ name, args }) => ({ name, ...args }))

test('one tap adds a stop at the supplier to a run of today', async () => {
  const at = await showScreen(fill, () => <FetchOnRun supplierId="oakline" />)
  await press(button('Fetch today with Blue truck'))
  await vi.waitFor(() =>
    expect(sent(at)).toMatchObject([
      { name: 'ask_supplier_stop', supplier_id: 'oakline' },
      { name: 'move_stop', run_id: 'run', trip: 0 },
    ]),
  )
  await vi.waitFor(() => expect(root.textContent).toContain('Stop planned for'))
})

test('the driver sees place, hours and lines, and ticks one off', async () => {
  const at = await showScreen(
    (server) => fill(server, 'arrived'),
    () => <StopView id="stop" />,
  )
  expect(root.textContent).toContain('Fetch parts')
  expect(root.textContent).toContain('Oakline Supply')
  expect(root.textContent).toContain('12 Mill Road')
  expect(root.textContent).toContain('Open: 8:00')
  expect(root.textContent).toContain('2 × Deck belt2PO-1001, BX-41')
  await press(button('Got all 2'))
  await vi.waitFor(() =>
    expect(sent(at)).toMatchObject([{ name: 'record_part_arrival', order_line_id: 'line', quantity: '2' }]),
  )
  await vi.waitFor(() => expect(root.textContent).toContain('To fetch 1'))
})

test('a stop that is left with lines not fetched says that they stay open', async () => {
  const at = await showScreen(
    (server) => fill(server, 'arrived'),
    () => <StopView id="stop" />,
  )
  await press(button('Left'))
  await vi.waitFor(() => expect(sent(at)).toMatchObject([{ name: 'leave_stop', id: 'stop' }]))
  await showScreen(
    (server) => fill(server, 'left'),
    () => <StopView id="stop" />,
  )
  expect(root.textContent).toContain('2 lines not fetched. They stay open on the order.')
})
