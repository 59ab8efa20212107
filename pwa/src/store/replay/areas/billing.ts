import { creditFaults, creditsWhole, mirrored } from '../../../domain/billing/creditNotes'
import type {
  BilledLine,
  CompleteArguments,
  Invoice,
  InvoiceLine,
  QuoteTotals,
} from '../../../domain/contract'
import { sum } from '../../../domain/numbers/money'
import { checkLines } from '../../../domain/quotes/checks'
import { computeTotals } from '../../../domain/quotes/totals'
import { invoiceMayBecome } from '../../../domain/states'
import { daysAfter } from '../../../domain/time'
import type { ReplayRows } from '../../rows/overlay'
import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime, editRow, type ReplayContext, settingFields } from '../context'
import { plainFigures } from '../plainFigures'

const NO_PDF = { state: 'none', reason: null, url: null, bytes: null } as const
const PDF_ASKED_FOR = { ...NO_PDF, state: 'waiting' } as const

export const replays: ReplaysOf<'billing'> = {
  draft_invoice: (rows, { lines, storage, ...args }, context) => {
    if (rows.get('invoice', args.id)) return
    const exempt = rows.get('customer', args.customer_id)?.tax_exempt ?? false
    const basis = args.basis as Invoice['basis']
    const discount = { percent: null, minor: null, ...args.discount }
    addRow(rows, 'invoice', { ...args, basis, discount, exempt, pdf: NO_PDF }, context)
    for (const line of lines ?? []) putLine(rows, { ...line, invoice_id: args.id }, context)
    addUp(rows, args.id, context)
  },
  edit_invoice: (rows, { id, set }, context) => {
    const find = 'discount' in set ? changeableDraft : draft
    if (find(rows, id)) editRow(rows, 'invoice', id, set, context)
    addUp(rows, id, context)
  },
  choose_invoice_tax: (rows, { id, tax_profile }, context) => {
    const invoice = draft(rows, id)
    if (invoice?.kind !== 'invoice') return
    const basis = { ...invoice.basis, tax_profiles: [tax_profile] } as Invoice['basis']
    editRow(rows, 'invoice', id, { basis }, context)
    addUp(rows, id, context)
  },
  put_invoice_line: (rows, args, context) => {
    if (!changeableDraft(rows, args.invoice_id)) return
    putLine(rows, args, context)
    addUp(rows, args.invoice_id, context)
  },
  remove_invoice_line: (rows, { id }, context) => {
    const line = rows.get('invoice_line', id)
    if (!line || !changeableDraft(rows, line.invoice_id)) return
    rows.drop('invoice_line', id)
    addUp(rows, line.invoice_id, context)
  },
  discard_invoice: (rows, { id }) => {
    if (!draft(rows, id)) return
    for (const line of linesOf(rows, id)) rows.drop('invoice_line', line.id)
    rows.drop('invoice', id)
  },
  issue_invoice: (rows, args, context) => {
    if (draft(rows, args.id)?.kind === 'invoice') issue(rows, args, context)
  },
  draft_credit_note: draftCreditNote,
  issue_credit_note: (rows, args, context) => {
    const note = draft(rows, args.id)
    if (note?.kind !== 'credit_note' || !note.credited_id) return
    const invoice = rows.get('invoice', note.credited_id)
    issue(rows, args, context)
    if (invoice && leftToCredit(rows, invoice) === 0 && invoiceMayBecome(invoice.state, 'cancelled'))
      editRow(rows, 'invoice', invoice.id, { state: 'cancelled' }, context)
  },
  remake_invoice_pdf: settingFields(
    'invoice',
    () => ({ pdf: PDF_ASKED_FOR }),
    ({ state }) => state !== 'draft',
  ),
  // The message is the server's.
  send_invoice: () => undefined,
}

function draft(rows: ReplayRows, id: string): Invoice | undefined {
  const invoice = rows.get('invoice', id)
  return invoice?.state === 'draft' ? invoice : undefined
}

/** A draft whose lines and discount may change: not the credit note of a whole invoice. */
function changeableDraft(rows: ReplayRows, id: string): Invoice | undefined {
  const invoice = draft(rows, id)
  return invoice && !creditsWhole(invoice) ? invoice : undefined
}

function linesOf(rows: ReplayRows, invoice_id: string): InvoiceLine[] {
  return rows.where('invoice_line', 'invoice_id', invoice_id)
}

type Put = CompleteArguments<'put_invoice_line'> | (BilledLine & { invoice_id: string })

/** The whole line is replaced: fields left out are removed. */
function putLine(rows: ReplayRows, line: Put, context: ReplayContext): void {
  const known = rows.get('invoice_line', line.id)
  if (known) rows.drop('invoice_line', line.id)
  const kept = known && { created_at: known.created_at }
  addRow(rows, 'invoice_line', { ...kept, ...line, ...plainFigures(line) }, context)
}

function draftCreditNote(
  rows: ReplayRows,
  { lines: wanted, ...args }: CompleteArguments<'draft_credit_note'>,
  context: ReplayContext,
): void {
  const invoice = rows.get('invoice', args.credited_id)
  if (rows.get('invoice', args.id) || invoice?.kind !== 'invoice' || invoice.state !== 'issued') return
  const billed = linesOf(rows, invoice.id)
  const ids = new Map(wanted?.map(({ id, line_id }) => [line_id, id]))
  const taken = new Map(wanted?.map(({ line_id, quantity }) => [line_id, quantity ?? null]))
  if (creditFaults(billed, taken).length) return
  const { basis, discount, lines } = mirrored(invoice, billed, taken)
  const { job_id, customer_id, exempt } = invoice
  const same = {
    job_id,
    customer_id,
    exempt,
    basis: basis as Invoice['basis'],
    discount,
    kind: 'credit_note',
  }
  addRow(rows, 'invoice', { ...args, ...same, pdf: NO_PDF } as Partial<Invoice> & { id: string }, context)
  for (const { created_at, changed_at, ...line } of lines)
    putLine(rows, { ...line, id: ids.get(line.id) ?? line.id, invoice_id: args.id }, context)
  addUp(rows, args.id, context)
}

function issue(
  rows: ReplayRows,
  { id, issued_on }: CompleteArguments<'issue_invoice'>,
  context: ReplayContext,
): void {
  addUp(rows, id, context)
  const invoice = rows.get('invoice', id)
  if (!invoice?.totals) return
  const days = rows.all('billing_settings')[0]?.payment_days ?? 0
  const due_on = invoice.kind === 'invoice' ? (invoice.due_on ?? daysAfter(issued_on, days)) : null
  const issued_at = correctedTime(context.at, context)
  const issued = { state: 'issued', issued_on, due_on, issued_at, issued_by_id: context.member_id } as const
  editRow(rows, 'invoice', id, { ...issued, pdf: PDF_ASKED_FOR }, context)
}

function leftToCredit(rows: ReplayRows, invoice: Invoice): number {
  const notes = rows.where('invoice', 'credited_id', invoice.id).filter(({ state }) => state !== 'draft')
  return (invoice.totals?.total_minor ?? 0) - sum(notes.map(({ totals }) => totals?.total_minor ?? 0))
}

/** Recomputes a draft's totals from its lines; none while a line is invalid. */
function addUp(rows: ReplayRows, id: string, context: ReplayContext): void {
  const invoice = draft(rows, id)
  if (!invoice) return
  const customer = rows.get('customer', invoice.customer_id)
  const exempt = invoice.kind === 'invoice' ? (customer?.tax_exempt ?? false) : invoice.exempt
  editRow(rows, 'invoice', id, { exempt, totals: totalsOf(rows, { ...invoice, exempt }) }, context)
}

function totalsOf(rows: ReplayRows, { id, basis, discount, exempt }: Invoice): QuoteTotals | null {
  const lines = linesOf(rows, id)
  if (checkLines(basis, lines, { discount, billed: true }).length > 0) return null
  return computeTotals(basis, lines, { discount, exempt })
}
