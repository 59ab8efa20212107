// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import {
  type BillingSettings,
  type Customer,
  type Job,
  PRICE_PARTS,
  type PriceBook,
  type Quote,
  type QuoteLine,
} from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { invoiceSending, invoiceView, jobBill } from '../../../domain/words/invoices'
import { basis } from '../../../store/fakes/book'
import { queue } from '../../../store/queue/queue'
import { allOf } from '../../../store/rows/selectors'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { BillButton } from '../../features/billing/JobInvoices'
import { InvoiceDraft } from './InvoiceDraft'
import { SendInvoice } from './SendInvoice'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set(['bill', 'message'])), session: signal({ member: { id: 'me' } }) }
})

const WINNIE = { name: 'Winnie Stroud', email: 'winnie@stroud.example', phone: '' }
const ID = (at: number) => `00000000-0000-7000-8000-00000000000${at}`

/** A job with one agreed quote of 1.5 h at 90.00, of which nothing is billed; the settings of a new shop. */
const showJob = (screen: (job: Job) => preact.JSX.Element) => {
  const made = born()
  const job = { ...DEFAULTS.job, ...made, id: ID(1), customer_id: ID(2), machine_id: ID(3) } as Job
  return showScreen(
    (server) => {
      server.put('job', job)
      server.put('customer', { ...DEFAULTS.customer, ...made, id: ID(2), ...WINNIE } as Customer)
      server.put('price_book', { ...made, id: ID(9), prices: basis, confirmed: PRICE_PARTS } as PriceBook)
      const settings = { ...DEFAULTS.billing_settings, ...made, id: ID(9), payment_days: 14 }
      server.put('billing_settings', {
        labor: 'as_quoted',
        tolerance_minor: 0,
        ...settings,
      } as BillingSettings)
      const quote = { ...DEFAULTS.quote, ...made, id: ID(4), job_id: ID(1), state: 'decided', basis }
      server.put('quote', { ...quote, discount: { percent: null, minor: null } } as Quote)
      const line = { kind: 'labor', rank: 'needed', words: 'Fit new brushes', hours: '1.5', position: 0 }
      server.put('quote_line', {
        ...DEFAULTS.quote_line,
        ...made,
        ...line,
        id: ID(5),
        quote_id: ID(4),
        decided: 'accepted',
      } as QuoteLine)
    },
    () => screen(job),
  )
}

function BillThenIssue({ job }: { job: Job }) {
  const [draft] = invoices()
  return draft?.state === 'draft' ? <InvoiceDraft row={draft} /> : <BillButton job={job} />
}

function IssueThenSend({ job }: { job: Job }) {
  const [row] = invoices()
  return row?.state === 'issued' ? <SendInvoice row={row} /> : <BillThenIssue job={job} />
}

const invoices = () => allOf('invoice')

test('a job is billed in one press, with its agreed lines', async () => {
  await showJob((job) => <BillButton job={job} />)
  await press(button(jobBill.bill))
  expect(invoices()).toMatchObject([{ job_id: ID(1), state: 'draft', number: null, customer_id: ID(2) }])
  expect(invoices()[0]?.mark).not.toBe('')
  expect(allOf('invoice_line')).toMatchObject([{ quote_line_id: ID(5), source: 'quote', hours: '1.5' }])
  expect(invoices()[0]?.totals?.total_minor).toBe(13_500)
  expect(root.textContent).toContain(jobBill.goOn)
})

test('a draft is issued without a signal, with its mark until the number comes', async () => {
  await showJob((job) => <BillThenIssue job={job} />)
  await press(button(jobBill.bill))
  expect(root.textContent).toContain('Fit new brushes')
  await press(button(invoiceView.issue))
  const [issued] = invoices()
  expect(issued).toMatchObject({ state: 'issued', number: null, issued_by_id: expect.anything() })
  expect(issued?.due_on).not.toBeNull()
})

test('what is billed is not offered again', async () => {
  await showJob((job) => <BillThenIssue job={job} />)
  await press(button(jobBill.bill))
  await press(button(invoiceView.issue))
  expect(button(jobBill.billHint)).toBe(undefined)
  expect(button(jobBill.billMore)?.textContent).toContain(jobBill.billMoreHint)
})

test('an issued invoice is mailed to its customer, who has no telephone number', async () => {
  await showJob((job) => <IssueThenSend job={job} />)
  await press(button(jobBill.bill))
  await press(button(invoiceView.issue))
  expect(button(invoiceSending.text)).toBe(undefined)
  await press(button(invoiceSending.mail))
  expect(queue.value.at(-1)).toMatchObject({
    name: 'send_invoice',
    args: { id: invoices()[0]?.id, channel: 'email', address: WINNIE.email },
  })
})
