import { expect, test } from 'vitest'
import type { Kind, Row } from '../../domain/contract'
import { currentRows } from './formerRows'

const born = { created_at: '2026-04-01T08:00:00Z', changed_at: '2026-04-01T08:00:00Z' }
const stored = (kind: string, row: object) => ({
  kind: kind as Kind,
  id: 'x',
  generation: 4,
  row: { ...born, id: 'x', ...row } as unknown as Row,
})
const current = (kind: string, row: object) =>
  currentRows(stored(kind, row)).map((record) => [record.kind, record.row, record.generation])

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
  expect(current(kind, row)).toEqual(
    expected.map(([name, fields]) => [name, { ...born, id: 'x', ...(fields as object) }, 4]),
  )
})

test('other rows stay as they are', () => {
  const record = stored('customer', { name: 'Winnie {owner}' })
  expect(currentRows(record)[0]).toBe(record)
})
