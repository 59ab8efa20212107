// @vitest-environment happy-dom
import { act } from 'preact/test-utils'
import { expect, test, vi } from 'vitest'
import type { Customer, Invoice, Job, Payment, QuoteTotals } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { money, payForm, receipt, refundForm } from '../../../domain/words/payments'
import { moneyOfJob } from '../../../store/payments'
import { allOf } from '../../../store/rows/selectors'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { JobMoneyView } from './MoneyView'
import { PayJob } from './PayForm'
import { PaymentView } from './PaymentView'
import { RefundJob } from './RefundForm'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  const permissions = signal(new Set(['bill', 'keep_books', 'message']))
  return { permissions, session: signal({ member: { id: 'me' } }) }
})

const BILL = 42_250
const job = {
  ...DEFAULTS.job,
  ...born(),
  id: 'job',
  customer_id: 'otis',
  machine_id: 'm',
  number: 'J-7',
} as Job
const customer = { ...DEFAULTS.customer, ...born(), id: 'otis', name: 'Otis Quill' } as Customer
const bill = {
  ...DEFAULTS.invoice,
  ...born(),
  id: 'bill',
  job_id: 'job',
  customer_id: 'otis',
  state: 'issued',
  number: 'INV-1001',
  totals: { total_minor: BILL } as QuoteTotals,
} as Invoice

const entry = (id: string, fields: Partial<Payment>): Payment =>
  ({
    ...DEFAULTS.payment,
    ...born(),
    id,
    job_id: 'job',
    customer_id: 'otis',
    kind: 'payment',
    method: 'cash',
    amount_minor: 1000,
    paid_at: born().created_at,
    paid_on: '2026-05-05',
    member_id: null,
    ...fields,
  }) as Payment

const show = (screen: Parameters<typeof showScreen>[1], ...entries: Payment[]) =>
  showScreen((server) => {
    server.put('customer', customer)
    server.put('job', job)
    server.put('invoice', bill)
    for (const each of entries) server.put('payment', each)
  }, screen)

/** Types into the field with a label. */
async function type(label: string, text: string) {
  const found = [...root.querySelectorAll('label')].find((each) => each.textContent === label)
  const input = root.querySelector<HTMLInputElement>(`#${CSS.escape(found?.getAttribute('for') ?? '')}`)
  await act(() => {
    if (input) input.value = text
    input?.dispatchEvent(new Event('input', { bubbles: true }))
  })
}

const save = () => press(root.querySelector<HTMLButtonElement>('.primary-button'))

test('the rest of a bill is offered, and taken with its tip', async () => {
  await show(() => <PayJob id="job" />, entry('deposit', { kind: 'deposit', amount_minor: 15_000 }))
  expect(root.textContent).toContain(payForm.even)
  await type(payForm.tip, '5')
  expect(root.textContent).toContain(payForm.save('$277.50'))
  await save()
  const taken = allOf('payment').find(({ id }) => id !== 'deposit')
  expect(taken).toMatchObject({ kind: 'payment', amount_minor: 27_250, tip_minor: 500, customer_id: 'otis' })
  expect(moneyOfJob('job')).toMatchObject({ billed: BILL, paid: BILL, open: 0, too_much: 0 })
})

test.each(['', '0', '-5', 'ten'])('an amount of “%s” is not taken', async (amount) => {
  await show(() => <PayJob id="job" />)
  await type(payForm.amount, amount)
  await save()
  expect(allOf('payment')).toEqual([])
  expect(root.textContent).toContain(payForm.missingAmount)
})

test('more than is open is said, and taken', async () => {
  await show(() => <PayJob id="job" />)
  await type(payForm.amount, '500')
  expect(root.textContent).toContain(payForm.beyond('$77.50'))
  await save()
  expect(moneyOfJob('job')).toMatchObject({ open: 0, unused: 7_750, too_much: 7_750 })
})

test('a refund above what was paid is refused with the reason', async () => {
  await show(() => <RefundJob id="job" />, entry('one', { amount_minor: 2_000 }))
  await type(payForm.amount, '20.01')
  await save()
  expect(root.textContent).toContain(refundForm.abovePaid('$20.00'))
  await type(payForm.amount, '20')
  await save()
  expect(moneyOfJob('job')).toMatchObject({ paid: 0, open: BILL })
})

test('what two phones both took is kept as credit in one press', async () => {
  const both = [entry('one', { amount_minor: BILL }), entry('two', { amount_minor: BILL })]
  await show(() => <JobMoneyView id="job" />, ...both)
  expect(root.textContent).toContain(money.tooMuch('$422.50'))
  await press(button(money.keep))
  expect(moneyOfJob('job')).toMatchObject({ paid: BILL, too_much: 0 })
  expect(allOf('payment').find(({ kind }) => kind === 'refund')).toMatchObject({
    method: 'credit',
    amount_minor: BILL,
  })
})

test('the receipt is there at once, with what is still open', async () => {
  await show(() => <PaymentView id="one" />, entry('one', { amount_minor: 20_000, tip_minor: 300 }))
  const shown = root.textContent ?? ''
  for (const text of [receipt.title, '$203.00', 'Otis Quill', 'J-7', '$3.00', '$222.50'])
    expect(shown).toContain(text)
})
