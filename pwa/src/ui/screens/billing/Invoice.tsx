import { invoice } from '../../../store/invoices'
import { NotFound } from '../../NotFound'
import { InvoiceDraft } from './InvoiceDraft'
import { IssuedInvoice } from './IssuedInvoice'

/** An invoice or a credit note: its lines to check while it is a draft, else what was issued. */
export function Invoice({ id }: { id: string }) {
  const row = invoice(id)
  if (!row) return <NotFound />
  return row.state === 'draft' ? <InvoiceDraft row={row} /> : <IssuedInvoice row={row} />
}
