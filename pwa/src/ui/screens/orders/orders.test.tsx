// @vitest-environment happy-dom
import { act } from 'preact/test-utils'
import { beforeEach, expect, test, vi } from 'vitest'
import type { Job, Notice, PartNeed, PartOrder, PartOrderLine, Supplier } from '../../../domain/contract'
import { daysAfter } from '../../../domain/time'
import type { FakeServer } from '../../../store/fakes/server'
import { mayDo } from '../../../store/fakes/session'
import { readChannels } from '../../../store/notices'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { today } from '../../shopFormat'
import { ArrivalForm } from './ArrivalForm'
import { Arrivals } from './Arrivals'
import { Order } from './Order'
import { OrderParts } from './OrderParts'
import { Orders } from './Orders'
import { Returns } from './Returns'
import { SendOrder } from './SendOrder'

vi.mock('../../../store/notices', async (original) => ({
  ...(await original<object>()),
  readChannels: vi.fn(() => new Promise(() => undefined)),
}))

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

beforeEach(() => mayDo('order_parts', 'work_jobs', 'see_cost'))

const NEED = {
  id: 'need',
  job_id: 'job',
  supplier_id: 'oakline',
  catalog_part_id: null,
  number: 'BX-40',
  superseded_by: 'BX-41',
  description: 'Deck belt',
  quantity: '2',
  cost_minor: 1200,
  core_minor: 0,
  state: 'wanted',
}
const LINE = {
  id: 'line',
  order_id: 'order',
  need_id: null,
  catalog_part_id: null,
  number: 'BX-41',
  description: 'Deck belt',
  quantity: '2',
  cost_minor: 1200,
  core_minor: 4500,
  answer: 'open',
  promised_on: null,
  position: 0,
}

function fill(server: FakeServer, state: 'draft' | 'sent' | null, line: Partial<PartOrderLine> = {}) {
  const supplier = { name: 'Oakline Supply', email: 'parts@oakline.example', phone: '', order_by: 'mail' }
  server.put('supplier', {
    ...born(),
    id: 'oakline',
    customer_number: 'C-88',
    archived: false,
    ...supplier,
  } as Supplier)
  server.put('job', {
    ...born(),
    id: 'job',
    number: 'J-7',
    mark: '',
    stage: 'repair',
    waits_on: [],
  } as unknown as Job)
  server.put('part_need', { ...born(), ...NEED } as unknown as PartNeed)
  if (!state) return
  const order = {
    id: 'order',
    supplier_id: 'oakline',
    number: 'PO-1001',
    mark: '',
    state,
    note: '',
    promised_on: null,
  }
  server.put('part_order', { ...born(), ...order } as unknown as PartOrder)
  server.put('part_order_line', { ...born(), ...LINE, ...line } as unknown as PartOrderLine)
}

async function type(label: string, text: string): Promise<void> {
  const named = [...root.querySelectorAll('label')].find((each) => each.textContent?.startsWith(label))
  const field = root.querySelector<HTMLInputElement>(`[id="${named?.htmlFor}"]`)
  expect(field).toBeTruthy()
  await act(() => {
    if (field) field.value = text
    field?.dispatchEvent(new Event('input', { bubbles: true }))
  })
}

test('what jobs want is listed by supplier and goes on an order in one tap', async () => {
  await showScreen(
    (server) => fill(server, null),
    () => <Orders />,
  )
  expect(root.textContent).toContain('To order 1Oakline Supply1 partDeck belt')
  const at = await showScreen(
    (server) => fill(server, null),
    () => <OrderParts supplierId="oakline" />,
  )
  expect(root.textContent).toContain('2 × Deck belt')
  await press(button('Put on the order'))
  await vi.waitFor(() =>
    expect(at.outbox.map(({ name, args }) => ({ name, ...args }))).toMatchObject([
      { name: 'add_part_order', supplier_id: 'oakline' },
      {
        name: 'add_part_order_line',
        need_id: 'need',
        number: 'BX-41',
        quantity: '2',
        cost_minor: 1200,
        position: 0,
      },
    ]),
  )
})

test('a shop without suppliers names the first one with its first order', async () => {
  const at = await showScreen(
    (server) => {
      fill(server, null)
      server.put('supplier', { ...born(), id: 'oakline', name: 'Oakline Supply', archived: true } as Supplier)
      server.put('part_need', { ...born(), ...NEED, supplier_id: null } as unknown as PartNeed)
    },
    () => <OrderParts />,
  )
  expect(root.querySelector('select')).toBe(null)
  await press(button('Put on the order'))
  expect(root.textContent).toContain('Enter the supplier’s name')
  expect(at.outbox).toEqual([])
  await type('Name of the new supplier', 'Tollgate Engine Parts')
  await press(button('Put on the order'))
  await vi.waitFor(() =>
    expect(at.outbox.map(({ name }) => name)).toEqual([
      'add_supplier',
      'add_part_order',
      'add_part_order_line',
    ]),
  )
  const [supplier, order] = at.outbox.map(({ args }) => args as { id: string; supplier_id?: string })
  expect(supplier).toMatchObject({ name: 'Tollgate Engine Parts', id: order?.supplier_id })
})

test('an order of which all has come is still listed', async () => {
  await showScreen(
    (server) => {
      fill(server, 'sent')
      const order = { id: 'over', supplier_id: 'oakline', number: 'PO-1000', mark: '', state: 'closed' }
      server.put('part_order', { ...born(), ...order, note: '', promised_on: null } as unknown as PartOrder)
    },
    () => <Orders />,
  )
  expect(root.querySelector('section:last-of-type')?.textContent).toContain('Finished latelyPO-1000')
})

test('what must be ordered today says so, and says by when the rest', async () => {
  const promised = (day: string) => (server: FakeServer) => {
    fill(server, null)
    server.put('supplier', { ...born(), id: 'oakline', name: 'Oakline Supply', lead_days: 3 } as Supplier)
    server.put('job', {
      ...born(),
      id: 'job',
      number: 'J-7',
      mark: '',
      stage: 'repair',
      promised_on: day,
    } as Job)
  }
  await showScreen(promised(today()), () => <Orders />)
  expect(root.textContent).toContain('order today · Deck belt')
  await showScreen(promised(daysAfter(today(), 60)), () => <Orders />)
  expect(root.textContent).toContain('order by ')
})

test('an order is mailed with what it says shown first', async () => {
  const at = await showScreen(
    (server) => fill(server, 'draft'),
    () => <SendOrder id="order" />,
  )
  expect(root.textContent).toContain('2 x BX-41, Deck belt\n\nOur customer number: C-88')
  await press(button('Send by email'))
  await vi.waitFor(() =>
    expect(at.outbox.map(({ name, args }) => ({ name, ...args }))).toMatchObject([
      { name: 'mail_part_order', id: 'order', address: 'parts@oakline.example' },
    ]),
  )
})

test('where no mail is set up, the order is written in the own mail program and marked as sent', async () => {
  vi.mocked(readChannels).mockResolvedValueOnce({ email: false, sms: false, push_key: null } as never)
  const at = await showScreen(
    (server) => fill(server, 'draft'),
    () => <SendOrder id="order" />,
  )
  await vi.waitFor(() => expect(root.textContent).toContain('No mail is set up here, so this order'))
  const link = [...root.querySelectorAll('a')].find(({ href }) => href.startsWith('mailto:'))
  expect(decodeURIComponent(link?.href ?? '')).toContain('parts@oakline.example')
  expect(decodeURIComponent(link?.href ?? '')).toContain('2 x BX-41, Deck belt')
  await press(button('Mark as sent'))
  await vi.waitFor(() =>
    expect(at.outbox.map(({ name, args }) => ({ name, ...args }))).toMatchObject([
      { name: 'note_part_order_sent', id: 'order', how: 'mail' },
    ]),
  )
})

test.each([
  { state: 'by_hand', says: 'Not sent' },
  { state: 'sent', says: 'Sent' },
  { state: 'waiting', says: 'Sent' },
] as const)('an order whose mail is "$state" says "$says"', async ({ state, says }) => {
  await showScreen(
    (server) => {
      fill(server, 'sent')
      server.put('part_order', { ...server.rows('part_order')[0], sent_how: 'mail' } as PartOrder)
      server.put('notice', {
        ...born(),
        id: 'notice',
        about_kind: 'part_order',
        about_id: 'order',
        channel: 'email',
        address: 'parts@oakline.example',
        template: 'part_order',
        state,
        reason: 'Sending email isn’t set up here: send it from your own phone.',
        body: 'Hello',
        subject: 'Order',
      } as unknown as Notice)
    },
    () => <Order id="order" />,
  )
  expect(root.querySelector('.badge')?.textContent).toBe(says)
  expect(root.textContent?.includes('Send it another way')).toBe(says === 'Not sent')
})

test('an address typed for an order is kept for the next one', async () => {
  const at = await showScreen(
    (server) => {
      fill(server, 'draft')
      const bare = { name: 'Oakline Supply', email: '', phone: '', order_by: 'mail', customer_number: '' }
      server.put('supplier', { ...born(), id: 'oakline', archived: false, ...bare } as Supplier)
    },
    () => <SendOrder id="order" />,
  )
  await type('Email address', 'parts@oakline.example')
  await press(button('Send by email'))
  await vi.waitFor(() =>
    expect(at.outbox.map(({ name }) => name)).toEqual(['edit_supplier', 'mail_part_order']),
  )
})

test('what is to come is found by its number, and all of an order is ticked off at once', async () => {
  const at = await showScreen(
    (server) => fill(server, 'sent'),
    () => <Arrivals orderId="order" />,
  )
  expect(root.textContent).toContain('2 × Deck belt')
  await press(button('All of it came'))
  await vi.waitFor(() =>
    expect(at.outbox.map(({ name, args }) => ({ name, ...args }))).toMatchObject([
      { name: 'record_part_arrival', order_line_id: 'line', quantity: '2' },
    ]),
  )
  expect(at.shop.view.get('part_order', 'order')?.state).toBe('closed')
})

test('a damaged part goes on the list of returns in the same tap', async () => {
  const at = await showScreen(
    (server) => fill(server, 'sent'),
    () => <ArrivalForm id="line" />,
  )
  const damaged = [...root.querySelectorAll('label')].find((each) => each.textContent?.startsWith('Damaged'))
  await press(damaged)
  await press(button('Save'))
  await vi.waitFor(() =>
    expect(at.outbox.map(({ name, args }) => ({ name, ...args }))).toMatchObject([
      { name: 'record_part_arrival', condition: 'damaged', quantity: '2', cost_minor: 1200 },
      {
        name: 'add_part_return',
        reason: 'damaged',
        order_line_id: 'line',
        supplier_id: 'oakline',
        expected_minor: 2400,
      },
    ]),
  )
})

test('an old core is offered to send back until it is on the list', async () => {
  const arrival = {
    id: 'came',
    order_line_id: 'line',
    quantity: '1',
    condition: 'good',
    undoes_id: null,
    cost_minor: null,
  }
  await showScreen(
    (server) => {
      fill(server, 'sent')
      server.put('part_arrival', { ...born(), ...arrival } as never)
    },
    () => <Returns />,
  )
  expect(root.textContent).toContain('Old parts for their core charge')
  expect(root.textContent).toContain('$45.00')
})
