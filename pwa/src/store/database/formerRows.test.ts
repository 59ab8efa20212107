import { expect, test } from 'vitest'
import { type Kind, PRICE_PARTS, type Row, SET_UP_STEPS, STARTING_CALENDAR } from '../../domain/contract'
import { rowsOf0_3, rowsOf0_4 } from './formerRows'

const born = { created_at: '2026-04-01T08:00:00Z', changed_at: '2026-04-01T08:00:00Z' }
const stored = (kind: string, row: object) => ({
  kind: kind as Kind,
  id: 'x',
  generation: 4,
  row: { ...born, id: 'x', ...row } as unknown as Row,
})
const since0_3 = (kind: string, row: object) =>
  rowsOf0_3(stored(kind, row)).map((record) => [record.kind, record.row, record.generation])

test.each([
  ['job', { stage: 'proving' }, [['job', { stage: 'testing' }]]],
  [
    'notice_template',
    { key: 'owner_asked', subject: '{owner}' },
    [['notice_template', { key: 'customer_asked', subject: '{customer}' }]],
  ],
  [
    'run',
    { day: '2026-04-01', margins: [{ rating: 'Coupler' }] },
    [['run', { day: '2026-04-01', margins: [] }]],
  ],
  ['plan_request', { answer: { words: ['Best.'] } }, []],
  [
    'shop',
    { book: { currency: 'USD' }, follow_ups: { ask_owner: true } },
    [
      ['shop', { follow_ups: { ask_customer: true } }],
      ['price_book', { prices: { currency: 'USD' } }],
    ],
  ],
])('a stored %s of 0.2.0 %j', (kind, row, expected) => {
  expect(since0_3(kind, row)).toEqual(
    expected.map(([name, fields]) => [name, { ...born, id: 'x', ...(fields as object) }, 4]),
  )
})

test('other rows stay as they are', () => {
  const record = stored('customer', { name: 'Winnie {owner}' })
  expect(rowsOf0_3(record)[0]).toBe(record)
})

test.each([
  [
    'time_entry',
    { doubt: 'ends_first', reason: '"doubt": it rained' },
    { anomaly: 'ends_first', reason: '"doubt": it rained' },
  ],
  [
    'hand_over',
    { meter_doubt: 'lower', keys: 'told_at' },
    { meter_anomaly: 'lower', keys: 'told_at', language: 'en' },
  ],
  [
    'stop',
    { told_from: born.created_at, told_to: null, told_at: null },
    { notified_from: born.created_at, notified_to: null, notified_at: null, supplier_id: null },
  ],
  [
    'quote',
    { paper: { state: 'ready', reason: null, url: '/api/v1/quotes/x/paper', bytes: 9 }, note: 'a/paper' },
    { pdf: { state: 'ready', reason: null, url: '/api/v1/quotes/x/pdf', bytes: 9 }, note: 'a/paper' },
  ],
  [
    'shop',
    { paper: 'a4', name: 'paper' },
    {
      paper_size: 'a4',
      name: 'paper',
      customer_language: 'en',
      no_bypass: false,
      calendar: STARTING_CALENDAR,
      holidays: [],
      skipped_steps: SET_UP_STEPS,
    },
  ],
  ['issue', { name: 'remake_paper', ours: {} }, { name: 'remake_pdf', ours: {} }],
  ['issue', { ours: { doubt: 'too_late' } }, { ours: { anomaly: 'too_late' } }],
])('a stored %s of 0.3.0 %j', (kind, row, expected) => {
  expect(rowsOf0_4(stored(kind, row))).toEqual([stored(kind, expected)])
})

test('customers and jobs of 0.3.0 say nothing of what was not asked', () => {
  expect(rowsOf0_4(stored('customer', { name: 'Otis' }))[0]?.row).toMatchObject({
    name: 'Otis',
    second_phone: '',
    contact_by: '',
  })
  expect(rowsOf0_4(stored('job', { mark: 'B-2' }))[0]?.row).toMatchObject({
    mark: 'B-2',
    urgency: 'usual',
    arrives_by: '',
  })
})

test('rows without a former name stay as they are in 0.4.0', () => {
  const record = stored('site', { label: 'No doubt' })
  expect(rowsOf0_4(record)[0]).toBe(record)
})

test('a price book of before prices were confirmed is taken as confirmed until its row comes', () => {
  const [record] = rowsOf0_4(stored('price_book', { prices: { currency: 'USD' } }))
  expect(record?.row).toEqual({ ...born, id: 'x', prices: { currency: 'USD' }, confirmed: PRICE_PARTS })
})

test('a shop of before the first set-up is not led through it', () => {
  const [record] = rowsOf0_4(stored('shop', { name: 'Bench' }))
  expect(record?.row).toEqual({
    ...born,
    id: 'x',
    name: 'Bench',
    customer_language: 'en',
    no_bypass: false,
    calendar: STARTING_CALENDAR,
    holidays: [],
    skipped_steps: SET_UP_STEPS,
  })
})
