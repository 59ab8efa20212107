import type { Invoice } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { dayClose } from '../../../domain/words/dayClose'
import { tables } from '../../../domain/words/desk'
import { invoiceKinds, invoiceStates, moneyTable as t } from '../../../domain/words/invoices'
import { customer } from '../../../store/customers'
import { signOf } from '../../../store/invoices'
import { job } from '../../../store/jobs'
import { openOf } from '../../../store/payments'
import { allOf, follow } from '../../../store/rows/selectors'
import type { TableOf } from '../../desk/table'
import { daysPastDue } from '../../features/billing/invoiceText'
import { perRow } from '../../features/tables/perRow'
import { TablePlace } from '../../features/tables/TablePlace'
import { format } from '../../shopFormat'

interface MoneyLine {
  readonly invoice: Invoice
  readonly customer: string
  readonly job: string
}

function moneyLines(): MoneyLine[] {
  follow('customer', 'job', 'payment')
  return allOf('invoice').map((invoice) => {
    const about = invoice.job_id ? job(invoice.job_id) : undefined
    return {
      invoice,
      customer: customer(invoice.customer_id)?.name || en.app.noName,
      job: about ? shownName(about) : '',
    }
  })
}

const STATES = Object.keys(invoiceStates)
const total = ({ invoice }: MoneyLine) =>
  invoice.totals ? signOf(invoice) * invoice.totals.total_minor : null

/** What is still to be paid of an invoice; nothing of drafts and credit notes. */
const open = perRow(({ invoice }: MoneyLine) =>
  invoice.state === 'draft' || invoice.kind === 'credit_note' ? null : openOf(invoice),
)

const MONEY: TableOf<MoneyLine> = {
  key: 'money',
  title: t.title,
  rows: moneyLines,
  idOf: ({ invoice }) => invoice.id,
  to: ({ invoice }) => ({ at: 'invoice', id: invoice.id }),
  columns: [
    { key: 'number', label: t.invoice, value: ({ invoice }) => shownName(invoice), width: 7.5 },
    { key: 'customer', label: t.customer, value: (line) => line.customer, width: 11, bold: true },
    { key: 'job', label: t.job, value: (line) => line.job, width: 5, spare: true },
    {
      key: 'state',
      label: t.state,
      value: ({ invoice }) => invoiceStates[invoice.state],
      rank: ({ invoice }) => STATES.indexOf(invoice.state),
      width: 8,
      spare: true,
    },
    { key: 'issued', label: t.issued, kind: 'day', value: ({ invoice }) => invoice.issued_on, width: 5.8 },
    {
      key: 'due',
      label: t.due,
      kind: 'day',
      value: ({ invoice }) => invoice.due_on,
      note: ({ invoice }) => (daysPastDue(invoice) ? t.late(daysPastDue(invoice)) : ''),
      width: 11.2,
    },
    { key: 'total', label: t.total, kind: 'money', value: total, width: 6.5 },
    { key: 'open', label: t.open, kind: 'money', value: open, width: 6.5 },
    {
      key: 'kind',
      label: t.kind,
      value: ({ invoice }) => invoiceKinds[invoice.kind],
      width: 7,
      hidden: true,
    },
  ],
  views: [
    { key: 'open', label: t.openView, has: (line) => (open(line) ?? 0) > 0 },
    { key: 'issued', label: t.issuedView, has: ({ invoice }) => invoice.state === 'issued' },
    { key: 'drafts', label: t.drafts, has: ({ invoice }) => invoice.state === 'draft' },
    { key: 'late', label: t.overdue, has: ({ invoice }) => daysPastDue(invoice) > 0 },
    { key: 'credits', label: t.credits, has: ({ invoice }) => invoice.kind === 'credit_note' },
    { key: 'all', label: tables.all, has: () => true },
  ],
  sort: { key: 'issued', down: true },
  act: { label: dayClose.title, to: { at: 'day-close' } },
  onPhone: (line) => {
    const minor = total(line)
    const left = open(line)
    return {
      title: line.customer,
      details: en.app.joined([
        shownName(line.invoice),
        invoiceStates[line.invoice.state],
        left && left !== minor ? `${t.open} ${format.value.money(left)}` : '',
      ]),
      ...(minor !== null && { value: format.value.money(minor) }),
    }
  },
}

/** All invoices and credit notes. */
export const Money = () => <TablePlace table={MONEY} />
