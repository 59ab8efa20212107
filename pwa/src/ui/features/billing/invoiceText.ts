import type { Invoice, TaxProfileInput } from '../../../domain/contract'
import { profileOn } from '../../../domain/quotes/book'
import { checkLines } from '../../../domain/quotes/checks'
import { offeredLines } from '../../../domain/quotes/offeredLines'
import { computeTotals } from '../../../domain/quotes/totals'
import { daysBetween } from '../../../domain/time'
import { linesOfInvoice } from '../../../store/invoices'
import { openOf } from '../../../store/payments'
import { priceBook } from '../../../store/priceBook'
import { today } from '../../shopFormat'

/** The lines of an invoice in order, its totals, and each line with its prices; no totals while a line is faulty. */
export function calculateInvoice({ id, basis, discount, exempt, state, totals }: Invoice) {
  const lines = linesOfInvoice(id)
  const faults = checkLines(basis, lines, { discount, billed: true })
  const sums =
    state === 'draft' ? (faults.length ? null : computeTotals(basis, lines, { discount, exempt })) : totals
  return { lines, faults, sums, shown: sums ? offeredLines(basis, lines, sums) : [] }
}

/** The tax profile in force today where it differs from a draft's (null: there is none); undefined: the same. */
export function newInvoiceTax({ kind, basis }: Invoice): TaxProfileInput | null | undefined {
  if (!priceBook.value || kind === 'credit_note') return undefined
  const current = profileOn(priceBook.value.prices.tax_profiles, today())
  return current?.key === basis.tax_profiles[0]?.key ? undefined : current
}

/** Days since an invoice was due of which something is still open; 0 otherwise. */
export const daysPastDue = (row: Invoice): number =>
  row.state === 'issued' && row.due_on && openOf(row) > 0 ? Math.max(0, daysBetween(row.due_on, today())) : 0
