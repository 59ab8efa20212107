import { type Balance, balanceOf, type Due, tooMuch } from '../domain/billing/balances'
import { creditOf, towardBill } from '../domain/billing/payments'
import type { BillingPrintout, Commands, Invoice, Job, Payment } from '../domain/contract'
import { moment } from '../domain/time'
import { agreed } from './agreed'
import { newId } from './browser/clock'
import { sendAdd } from './queue/commands'
import { enqueue } from './queue/outbox'
import { byAge, byId, compare, ownedBy } from './rows/selectors'

/** What is settled together: the invoices and entries of one payer on a job, or an invoice without a job. */
export interface Account {
  job_id: string | null
  invoice_id: string | null
  customer_id: string
}

export const payment = (id: string) => byId('payment', id)

const inOrder = (rows: Payment[]): Payment[] =>
  rows.sort((a, b) => compare(a.paid_at, b.paid_at) || compare(a.id, b.id))

/** The entries of a job in the order they were made, whoever paid. */
export const paymentsOf = (job_id: string): Payment[] => inOrder(ownedBy('payment', 'job_id', job_id))

/** The entries of an account in the order they were made. */
export const entriesOf = ({ job_id, invoice_id, customer_id }: Account): Payment[] =>
  job_id === null
    ? inOrder(ownedBy('payment', 'invoice_id', invoice_id ?? ''))
    : paymentsOf(job_id).filter((row) => row.customer_id === customer_id)

/** The entry that reverses another. */
export const reversalOf = (id: string): Payment | undefined => ownedBy('payment', 'reverses_id', id)[0]

/** What the shop keeps for a customer, in minor units. */
export const creditOfCustomer = (customer_id: string): number =>
  creditOf(ownedBy('payment', 'customer_id', customer_id))

const totalOf = ({ totals }: Invoice) => totals?.total_minor ?? 0
const isIssued = ({ state }: Invoice) => state !== 'draft'

/** The issued invoices of an account, in the order of issue. */
function billsOf({ job_id, invoice_id, customer_id }: Account): Invoice[] {
  const one = invoice_id === null ? undefined : byId('invoice', invoice_id)
  const all =
    job_id === null
      ? one
        ? [one]
        : []
      : ownedBy('invoice', 'job_id', job_id).filter((row) => row.customer_id === customer_id)
  return all
    .filter((row) => isIssued(row) && row.kind === 'invoice')
    .sort((a, b) => compare(a.issued_at ?? '', b.issued_at ?? '') || compare(a.id, b.id))
}

/** The numbers of an account's bills, as the customer names them: "INV-1001, INV-1004". */
export const billNumbers = (account: Account): string =>
  billsOf(account)
    .map(({ number, mark }) => number ?? mark)
    .join(', ')

const dueOf = (bill: Invoice): Due => ({
  invoice_id: bill.id,
  minor: ownedBy('invoice', 'credited_id', bill.id)
    .filter(isIssued)
    .reduce((left, note) => left - totalOf(note), totalOf(bill)),
})

export interface Money extends Omit<Balance, 'paid_on'> {
  /** What the customer agreed to, with tax; 0 without an approval. */
  agreed: number
  has_bill: boolean
  /** By how much is paid too much. */
  too_much: number
}

const settled = (account: Account) =>
  balanceOf(
    billsOf(account).map(dueOf),
    entriesOf(account).map((row) => ({ invoice_id: row.invoice_id, minor: towardBill(row) })),
  )

/** What is open of an issued invoice, less its credit notes, in minor units; of others nothing. */
export function openOf(row: Invoice): number {
  if (!isIssued(row) || row.kind !== 'invoice') return 0
  const account = accountOfInvoice(row)
  const at = billsOf(account).findIndex(({ id }) => id === row.id)
  return dueOf(row).minor - (settled(account).paid_on[at] ?? 0)
}

/** What is agreed, billed, paid and open on an account, in minor units. */
export function moneyOf(account: Account): Money {
  const { paid_on, ...balance } = settled(account)
  const job = account.job_id === null ? undefined : byId('job', account.job_id)
  const own = job?.customer_id === account.customer_id
  const total = (job && own && agreed(job.id, Date.now())?.total) || 0
  const too_much = tooMuch({ ...balance, paid_on }, total, false)
  return { ...balance, agreed: total, has_bill: paid_on.length > 0, too_much }
}

/** The account of a job's own customer. */
export const accountOfJob = ({ id, customer_id }: Job): Account => ({
  job_id: id,
  invoice_id: null,
  customer_id,
})

/** The account of an invoice. On a job, all of the same payer is settled together. */
export const accountOfInvoice = ({ id, job_id, customer_id }: Invoice): Account => ({
  job_id,
  invoice_id: id,
  customer_id,
})

/** The accounts of a job: of its own customer, and of everybody else who was billed or paid. */
export function accountsOf(job_id: string): Account[] {
  const own = byId('job', job_id)?.customer_id
  const others = [...ownedBy('invoice', 'job_id', job_id).filter(isIssued), ...paymentsOf(job_id)]
  const payers = new Set([...(own ? [own] : []), ...others.map((row) => row.customer_id)])
  return [...payers].map((customer_id) => ({ job_id, invoice_id: null, customer_id }))
}

/** What an entry of an account has to name: an invoice where somebody else than the job's customer pays. */
export function namedBy(account: Account): Pick<Account, 'job_id' | 'invoice_id'> {
  const { job_id, invoice_id, customer_id } = account
  const own = job_id !== null && byId('job', job_id)?.customer_id === customer_id
  return { job_id, invoice_id: invoice_id ?? (own ? null : (billsOf(account)[0]?.id ?? null)) }
}

/** The money of a job, whoever pays. */
export function moneyOfJob(job_id: string): Money {
  const sums = accountsOf(job_id).map(moneyOf)
  const sum = (of: (one: Money) => number) => sums.reduce((total, one) => total + of(one), 0)
  return {
    agreed: sum((one) => one.agreed),
    billed: sum((one) => one.billed),
    paid: sum((one) => one.paid),
    open: sum((one) => one.open),
    unused: sum((one) => one.unused),
    too_much: sum((one) => one.too_much),
    has_bill: sums.some((one) => one.has_bill),
  }
}

type Fields<Name extends 'record_payment' | 'record_refund'> = Omit<Commands[Name], 'id' | 'paid_at'>

const now = () => moment(Date.now())

export const recordPayment = (fields: Fields<'record_payment'>): Promise<string> =>
  sendAdd('record_payment', { ...fields, paid_at: now() })

export const recordRefund = (fields: Fields<'record_refund'>): Promise<string> =>
  sendAdd('record_refund', { ...fields, paid_at: now() })

export const reversePayment = (reverses_id: string, note: string): Promise<string> =>
  sendAdd('reverse_payment', { reverses_id, note, paid_at: now() })

/** The newest PDF receipt of an entry that was asked for. */
export const receiptOf = (payment_id: string): BillingPrintout | undefined =>
  ownedBy('billing_printout', 'payment_id', payment_id).sort(byAge).at(-1)

export async function printReceipt(payment_id: string): Promise<void> {
  await enqueue('print_receipt', { id: newId(), payment_id })
}
