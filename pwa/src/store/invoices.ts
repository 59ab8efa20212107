import { authorizedBy, beyondAgreed, counted } from '../domain/billing/authorized'
import { collect, type DrivenTrip, type FittedPart } from '../domain/billing/collecting'
import { mirrored, type Taken } from '../domain/billing/creditNotes'
import type {
  BillChannel,
  BillingSettings,
  Commands,
  Invoice,
  InvoiceLine,
  Job,
  QuoteTotals,
  TaxProfileInput,
} from '../domain/contract'
import { sum } from '../domain/numbers/money'
import type { ShopPrices } from '../domain/quotes/book'
import { inOrder } from '../domain/quotes/lines'
import { finder } from '../domain/quotes/progress'
import { computeTotals } from '../domain/quotes/totals'
import { decidedOn, workedOn } from './agreed'
import { newId } from './browser/clock'
import { intakeTermsOf } from './intake'
import { type Changes, sendEdit, sendRemove } from './queue/commands'
import { enqueue, newProvisionalMark } from './queue/outbox'
import { allOf, byAge, byId, ownedBy } from './rows/selectors'
import { requireShopSession } from './session/shopSession'
import { successorsOn } from './successors'

export const invoice = (id: string) => byId('invoice', id)
export const invoiceLine = (id: string) => byId('invoice_line', id)

/** A job's invoices and credit notes, oldest first. */
export const invoicesOf = (job_id: string) => ownedBy('invoice', 'job_id', job_id).sort(byAge)

export const creditNotesOf = (invoice_id: string) => ownedBy('invoice', 'credited_id', invoice_id).sort(byAge)

export const linesOfInvoice = (invoice_id: string): InvoiceLine[] =>
  inOrder(ownedBy('invoice_line', 'invoice_id', invoice_id))

export const billingSettings = (): BillingSettings | undefined => allOf('billing_settings')[0]

/** How the amounts of a document count in sums: those of a credit note are kept positive and count negative. */
export const signOf = ({ kind }: Pick<Invoice, 'kind'>) => (kind === 'credit_note' ? -1 : 1)

/** Drafts the invoice of a job with everything that is to be billed on it; storage is added to the draft. */
export async function billJob(
  job: Job,
  basis: ShopPrices,
  trips: readonly DrivenTrip[],
  now: number,
): Promise<string> {
  const id = newId()
  const work = { ...workOf(job.id, now), trips, storage: null }
  const { lines, discount } = collect(basis, work, settingsOrNone(), newId)
  const mark = await newProvisionalMark(requireShopSession().db)
  await enqueue('draft_invoice', {
    id,
    job_id: job.id,
    customer_id: job.customer_id,
    mark,
    basis,
    discount,
    lines,
  })
  return id
}

/** Whether work or parts that the customer agreed to, or parts that were fitted, are on no invoice yet. */
export function leftToBill(job_id: string, basis: ShopPrices, now: number): boolean {
  const { lines } = collect(
    basis,
    { ...workOf(job_id, now), trips: [], storage: null },
    settingsOrNone(),
    newId,
  )
  return lines.some(({ kind }) => kind !== 'discount')
}

function settingsOrNone() {
  return billingSettings() ?? { labor: 'as_quoted' as const, warranty_days: null, warranty_hours: null }
}

function workOf(job_id: string, now: number) {
  const quotes = decidedOn(job_id)
  const labor = quotes.flatMap(({ lines, accepted }) =>
    lines
      .filter(({ id, kind }) => kind === 'labor' && accepted.has(id))
      .map(({ id, operation }) => ({ id, operation: operation ?? '', accepted: true })),
  )
  const lineOf = finder(labor, successorsOn(job_id))
  const seconds = new Map<string, number>()
  for (const { line_id, operation, seconds: clocked } of workedOn(job_id, now)) {
    const id = lineOf(line_id, operation)
    if (id !== undefined) seconds.set(id, (seconds.get(id) ?? 0) + clocked)
  }
  return { quotes, seconds, parts: fittedOn(job_id), billed: billedOn(job_id) }
}

function fittedOn(job_id: string): FittedPart[] {
  return ownedBy('part_need', 'job_id', job_id)
    .filter(({ state, line_id }) => state === 'fitted' && line_id === null)
    .map(({ id, agreed_minor, price_minor, ...part }) => ({
      ...part,
      need_id: id,
      price_minor: agreed_minor ?? price_minor,
    }))
}

/** The lines of quotes, the parts and the trips that are on an invoice of the job which is not cancelled. */
function billedOn(job_id: string): Set<string> {
  const counting = invoicesOf(job_id).filter(({ kind, state }) => kind === 'invoice' && state !== 'cancelled')
  const lines = counting.flatMap(({ id }) => linesOfInvoice(id))
  return new Set(
    lines
      .flatMap(({ quote_line_id, need_id, stop_id }) => [quote_line_id, need_id, stop_id ?? null])
      .filter((id) => id !== null),
  )
}

/** How far a draft goes beyond what the customer of its job agreed to, before tax; 0: not at all. */
export function beyondOf({ id, job_id, kind, totals }: Invoice): number {
  if (!job_id || !totals || kind === 'credit_note') return 0
  const told = intakeTermsOf(job_id).at(-1)?.diagnosis_fee_minor ?? 0
  const limit = authorizedBy(decidedOn(job_id), told, billingSettings()?.tolerance_minor ?? 0)
  const billed = invoicesOf(job_id).flatMap((other) =>
    other.state === 'draft' || !other.totals
      ? []
      : signOf(other) * counted(other.totals, linesOfInvoice(other.id)),
  )
  return beyondAgreed(limit, billed, counted(totals, linesOfInvoice(id)))
}

export const editInvoice = (seen: Invoice, wanted: Changes<'edit_invoice'>) =>
  sendEdit('edit_invoice', seen, wanted)

type LineArgs = Commands['put_invoice_line']

/** Adds a line to a draft, or replaces the whole line of that id; accepts a stored row. */
export async function putInvoiceLine(line: Omit<LineArgs, 'id'> & { id?: string }): Promise<string> {
  const { created_at, changed_at, ...args } = { ...line, id: line.id ?? newId() } as LineArgs &
    Partial<Pick<InvoiceLine, 'created_at' | 'changed_at'>>
  await enqueue('put_invoice_line', args)
  return args.id
}

export const removeInvoiceLine = (id: string) => sendRemove('remove_invoice_line', id)
export const discardInvoice = (id: string) => sendRemove('discard_invoice', id)

export async function chooseInvoiceTax(id: string, tax_profile: TaxProfileInput): Promise<void> {
  await enqueue('choose_invoice_tax', { id, tax_profile })
}

/** Issues an invoice or a credit note as it is shown; the number comes with a signal. */
export async function issueInvoice({ kind }: Invoice, args: Commands['issue_invoice']): Promise<void> {
  await enqueue(kind === 'credit_note' ? 'issue_credit_note' : 'issue_invoice', args)
}

/** What a credit note for these lines of an invoice comes to. */
export function creditedBy(credited: Invoice, taken: Taken): QuoteTotals {
  const { basis, lines, discount } = mirrored(credited, linesOfInvoice(credited.id), taken)
  return computeTotals(basis, lines, { discount, exempt: credited.exempt })
}

/** What of an issued invoice is not credited yet. */
export function leftToCredit({ id, totals }: Invoice): number {
  const issued = creditNotesOf(id).filter(({ state }) => state !== 'draft')
  return (totals?.total_minor ?? 0) - sum(issued.map((note) => note.totals?.total_minor ?? 0))
}

/** Drafts a credit note for these lines of an invoice. */
export async function creditInvoice(credited: Invoice, taken: Taken, note = ''): Promise<string> {
  const id = newId()
  const lines = [...taken].map(([line_id, quantity]) => ({ id: newId(), line_id, quantity }))
  const mark = await newProvisionalMark(requireShopSession().db)
  await enqueue('draft_credit_note', { id, credited_id: credited.id, mark, lines, note })
  return id
}

export const editBillingSettings = (seen: BillingSettings, wanted: Changes<'edit_billing_settings'>) =>
  sendEdit('edit_billing_settings', seen, wanted)

/** Writes a link to the invoice to its customer, by mail or message. */
export async function sendInvoice(id: string, channel: BillChannel, address: string): Promise<void> {
  await enqueue('send_invoice', { id, channel, address })
}

export async function remakeInvoicePdf(id: string): Promise<void> {
  await enqueue('remake_invoice_pdf', { id })
}
