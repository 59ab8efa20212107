import { type AgeBucket, bucketOf } from '../domain/billing/ageing'
import { changedHands, towardBill } from '../domain/billing/payments'
import type { BillChannel, BillingPrintout, Invoice, Payment, PaymentMethod } from '../domain/contract'
import { type Day, daysAfter } from '../domain/time'
import { newId } from './browser/clock'
import { signOf } from './invoices'
import { type Account, accountOfInvoice, creditOfCustomer, moneyOf, openOf } from './payments'
import { enqueue } from './queue/outbox'
import { allOf, byAge, compare, follow, ownedBy } from './rows/selectors'

/** A line of a statement: an invoice, a credit note or money, what it counts, and what is owed after it. */
export interface StatementLine {
  readonly id: string
  readonly on: Day
  readonly of: Invoice | Payment
  readonly minor: number
  readonly balance: number
}

/** All that was billed to a customer and paid by them, oldest first. What is paid from their credit changes nothing. */
export function statementOf(customer_id: string): StatementLine[] {
  const bills = ownedBy('invoice', 'customer_id', customer_id).flatMap((of) =>
    of.state === 'draft' || !of.issued_on || !of.totals
      ? []
      : [
          {
            id: of.id,
            on: of.issued_on,
            at: of.issued_at ?? '',
            of,
            minor: signOf(of) * of.totals.total_minor,
          },
        ],
  )
  const paid = ownedBy('payment', 'customer_id', customer_id)
    .filter(({ method, kind }) => method !== 'credit' && kind !== 'tip')
    .map((of) => ({ id: of.id, on: of.paid_on, at: of.paid_at, of, minor: -towardBill(of) }))
  let balance = 0
  return [...bills, ...paid]
    .sort((a, b) => compare(a.on, b.on) || compare(a.at, b.at) || compare(a.id, b.id))
    .map(({ at, ...line }) => {
      balance += line.minor
      return { ...line, balance }
    })
}

/** What is open of an invoice, or (without one) what the shop owes a customer, with its age. */
export interface OpenAmount {
  readonly customer_id: string
  readonly invoice: Invoice | null
  readonly minor: number
  readonly bucket: AgeBucket
}

/** What all customers owe. Twin: `customer_accounts` in `shopapi/billing/queries/accounts.py`. */
export function openAmounts(today: Day): OpenAmount[] {
  follow('payment', 'invoice')
  const issued = allOf('invoice').filter(({ kind, state }) => kind === 'invoice' && state !== 'draft')
  const open = issued.flatMap((invoice): OpenAmount[] => {
    const minor = openOf(invoice)
    const { customer_id, due_on } = invoice
    return minor ? [{ customer_id, invoice, minor, bucket: bucketOf(due_on, minor, today) }] : []
  })
  return [...open, ...unusedMoney(issued)]
}

/** What was paid and settles no invoice, by customer: a deposit, what was too much, credit. */
function unusedMoney(issued: readonly Invoice[]): OpenAmount[] {
  const accounts = new Map<string, Account>()
  const keyOf = ({ customer_id, job_id, invoice_id }: Account) =>
    [customer_id, job_id ?? `invoice ${invoice_id}`].join(' ')
  for (const row of issued) accounts.set(keyOf(accountOfInvoice(row)), accountOfInvoice(row))
  for (const { customer_id, job_id, invoice_id } of allOf('payment')) {
    const account = { customer_id, job_id, invoice_id }
    if (!accounts.has(keyOf(account))) accounts.set(keyOf(account), account)
  }
  const unused = new Map<string, number>()
  for (const account of accounts.values())
    unused.set(account.customer_id, (unused.get(account.customer_id) ?? 0) + moneyOf(account).unused)
  return [...unused].flatMap(([customer_id, minor]): OpenAmount[] => {
    const all = minor + creditOfCustomer(customer_id)
    return all ? [{ customer_id, invoice: null, minor: -all, bucket: all > 0 ? 'credit' : 'current' }] : []
  })
}

/** What came in on a day by how it was paid, tips too, less what went back. */
export function takingsOn(day: Day): Map<PaymentMethod, number> {
  const sums = new Map<PaymentMethod, number>()
  for (const row of allOf('payment'))
    if (row.paid_on === day && row.method !== 'credit')
      sums.set(row.method, (sums.get(row.method) ?? 0) + changedHands(row))
  return sums
}

/** The newest statement of a customer that was asked for. */
export const statementPrintout = (customer_id: string): BillingPrintout | undefined =>
  ownedBy('billing_printout', 'customer_id', customer_id)
    .filter(({ kind }) => kind === 'statement')
    .sort(byAge)
    .at(-1)

/** Asks for the paper: from the first entry, at most a year back. */
export async function printStatement(customer_id: string, today: Day): Promise<void> {
  const [first] = statementOf(customer_id)
  const yearAgo = daysAfter(today, -365)
  const first_on = first && first.on > yearAgo ? first.on : yearAgo
  await enqueue('print_statement', { id: newId(), customer_id, first_on, through: today })
}

export async function sendStatement(id: string, channel: BillChannel, address: string): Promise<void> {
  await enqueue('send_billing_printout', { id, channel, address })
}
