// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import type { Customer, Invoice, Payment, QuoteTotals } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { daysAfter } from '../../../domain/time'
import { owed as t } from '../../../domain/words/owed'
import { openAmounts, statementOf, takingsOn } from '../../../store/owed'
import { born, root, showScreen } from '../../fakes/screen'
import { today } from '../../shopFormat'
import { Ageing } from './Ageing'
import { OpenInvoices } from './OpenInvoices'
import { Statement } from './Statement'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set(['bill', 'message'])), session: signal({ member: { id: 'me' } }) }
})

const ago = (days: number) => daysAfter(today(), -days)
const customer = { ...DEFAULTS.customer, ...born(), id: 'otis', name: 'Otis Quill' } as Customer

const invoice = (id: string, total_minor: number, fields: Partial<Invoice>): Invoice =>
  ({
    ...DEFAULTS.invoice,
    ...born(),
    id,
    customer_id: 'otis',
    state: 'issued',
    number: id,
    totals: { total_minor } as QuoteTotals,
    ...fields,
  }) as Invoice

const entry = (id: string, fields: Partial<Payment>): Payment =>
  ({
    ...DEFAULTS.payment,
    ...born(),
    id,
    customer_id: 'otis',
    kind: 'payment',
    method: 'cash',
    paid_at: born().created_at,
    member_id: null,
    ...fields,
  }) as Payment

const ROWS = [
  ['customer', customer],
  ['invoice', invoice('INV-1', 10_000, { issued_on: ago(60), due_on: ago(40), issued_at: '2026-01-01' })],
  ['invoice', invoice('INV-2', 5_000, { issued_on: ago(2), due_on: ago(-12), issued_at: '2026-01-02' })],
  ['invoice', invoice('CN-1', 1_000, { issued_on: ago(1), kind: 'credit_note', credited_id: 'INV-1' })],
  ['invoice', invoice('draft', 99, { state: 'draft', number: null })],
  ['payment', entry('part', { invoice_id: 'INV-1', amount_minor: 4_000, paid_on: ago(10), tip_minor: 300 })],
  ['payment', entry('card', { invoice_id: 'INV-2', amount_minor: 500, paid_on: ago(10), method: 'card' })],
] as const

const show = (screen: Parameters<typeof showScreen>[1]) =>
  showScreen((server) => {
    for (const [kind, row] of ROWS) server.put(kind, row as never)
  }, screen)

test('a statement has every invoice, credit note and payment, and the balance after each', async () => {
  await show(() => <Statement id="otis" />)
  expect(statementOf('otis').map(({ id, minor, balance }) => [id, minor, balance])).toEqual([
    ['INV-1', 10_000, 10_000],
    ['card', -500, 9_500],
    ['part', -4_000, 5_500],
    ['INV-2', 5_000, 10_500],
    ['CN-1', -1_000, 9_500],
  ])
  expect(root.textContent).toContain(t.owes('$95.00'))
})

test('what is open has its age, and adds up to the balance', async () => {
  await show(() => <Ageing />)
  const amounts = openAmounts(today())
  expect(amounts.map(({ invoice: of, minor, bucket }) => [of?.id, minor, bucket])).toEqual([
    ['INV-1', 5_000, 'days_60'],
    ['INV-2', 4_500, 'current'],
  ])
  expect(root.textContent).toContain('$95.00')
  expect(root.querySelector('a[href="/owed?bucket=days_60"]')).not.toBe(null)
})

test('a sum opens its invoices with how late they are', async () => {
  await show(() => <OpenInvoices bucket="days_60" />)
  expect(root.textContent).toContain(t.late(40))
  expect(root.textContent).not.toContain('INV-2')
})

test('the takings of a day are counted by method, tips too', async () => {
  await show(() => <Ageing />)
  expect(Object.fromEntries(takingsOn(ago(10)))).toEqual({ cash: 4_300, card: 500 })
})
