import { changedHands, tipIn, towardBill } from '../../../domain/billing/payments'
import type { Payment } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { dayClose } from '../../../domain/words/dayClose'
import { tables } from '../../../domain/words/desk'
import { paymentKinds, paymentMethods, payments as t } from '../../../domain/words/payments'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { allOf, byId, follow } from '../../../store/rows/selectors'
import type { TableOf } from '../../desk/table'
import { TablePlace } from '../../features/tables/TablePlace'
import { memberName } from '../../names'
import { format, today } from '../../shopFormat'

interface PaymentLine {
  readonly row: Payment
  readonly who: string
  readonly of: string
  readonly invoice: string
}

function paymentLines(): PaymentLine[] {
  follow('customer', 'job', 'invoice', 'member')
  return allOf('payment').map((row) => {
    const of = row.job_id ? job(row.job_id) : undefined
    const invoice = row.invoice_id ? byId('invoice', row.invoice_id) : undefined
    return {
      row,
      who: customer(row.customer_id)?.name || en.app.noName,
      of: of ? shownName(of) : '',
      invoice: invoice ? shownName(invoice) : '',
    }
  })
}

/** A reversal says so after what it reverses. */
const kindOf = ({ kind, reverses_id }: Payment) =>
  reverses_id ? t.reversal(paymentKinds[kind]) : paymentKinds[kind]

const PAYMENTS: TableOf<PaymentLine> = {
  key: 'payments',
  title: t.title,
  rows: paymentLines,
  idOf: ({ row }) => row.id,
  to: ({ row }) => ({ at: 'payment', id: row.id }),
  columns: [
    { key: 'day', label: t.day, kind: 'day', value: ({ row }) => row.paid_on, width: 6 },
    { key: 'customer', label: tables.jobs.customer, value: (line) => line.who, width: 10.5, bold: true },
    { key: 'job', label: tables.jobs.job, value: (line) => line.of, width: 5 },
    { key: 'invoice', label: t.invoice, value: (line) => line.invoice, width: 7, spare: true },
    { key: 'kind', label: t.kind, value: ({ row }) => kindOf(row), width: 7.5 },
    { key: 'method', label: t.method, value: ({ row }) => paymentMethods[row.method], width: 7.5 },
    { key: 'amount', label: t.amount, kind: 'money', value: ({ row }) => towardBill(row), width: 6 },
    {
      key: 'tip',
      label: t.tip,
      kind: 'money',
      value: ({ row }) => tipIn(row) || null,
      width: 4.5,
      spare: true,
    },
    {
      key: 'taken',
      label: t.taken,
      kind: 'money',
      value: ({ row }) => changedHands(row),
      width: 6.5,
      hidden: true,
    },
    { key: 'reference', label: t.reference, value: ({ row }) => row.reference, width: 8, hidden: true },
    {
      key: 'member',
      label: t.member,
      value: ({ row }) => (row.member_id ? memberName(row.member_id) : ''),
      width: 8,
      hidden: true,
    },
  ],
  views: [
    { key: 'today', label: t.today, has: ({ row }) => row.paid_on === today() },
    { key: 'month', label: t.month, has: ({ row }) => row.paid_on.slice(0, 7) === today().slice(0, 7) },
    { key: 'refunds', label: t.refunds, has: ({ row }) => row.kind === 'refund' },
    { key: 'all', label: tables.all, has: () => true },
  ],
  sort: { key: 'day', down: true },
  act: { label: dayClose.title, to: { at: 'day-close' } },
  onPhone: ({ row, who }) => ({
    title: who,
    details: en.app.joined([format.value.weekday(row.paid_on), kindOf(row), paymentMethods[row.method]]),
    value: format.value.money(towardBill(row) + tipIn(row)),
  }),
}

/** Every entry of money: what was taken today, this month, given back. */
export const Payments = () => <TablePlace table={PAYMENTS} />
