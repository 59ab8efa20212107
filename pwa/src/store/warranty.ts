import { notCredited, type WarrantyStanding, warrantyStanding } from '../domain/billing/warranty'
import type { Invoice, InvoiceLine } from '../domain/contract'
import type { Day } from '../domain/time'
import { creditNotesOf, invoicesOf, linesOfInvoice } from './invoices'
import { jobsOfMachine } from './jobs'
import { metersOf } from './machines'

/** A billed line that is still under warranty, or of which that is not known. */
export interface WarrantyLine {
  line: InvoiceLine
  invoice: Invoice
  standing: WarrantyStanding
}

const SHOWN: ReadonlySet<WarrantyStanding['state']> = new Set(['covered', 'cannot_say'])

/** The billed lines of a machine that are under warranty on a day, or of which that is not known; the newest first. */
export function warrantyLines(machine_id: string, on: Day): WarrantyLine[] {
  const readings = metersOf(machine_id)
  return jobsOfMachine(machine_id)
    .flatMap(({ id }) => invoicesOf(id))
    .filter(({ kind, state }) => kind === 'invoice' && state === 'issued')
    .flatMap((invoice) =>
      billedLines(invoice).flatMap((line) => {
        if (invoice.issued_on === null) return []
        const { warranty_days: days, warranty_hours: hours } = line
        const standing = warrantyStanding({ from_on: invoice.issued_on, days, hours }, on, readings)
        return SHOWN.has(standing.state) ? [{ line, invoice, standing }] : []
      }),
    )
}

/** The lines of an issued invoice that no issued credit note takes back. */
function billedLines({ id }: Invoice): InvoiceLine[] {
  const credited = creditNotesOf(id)
    .filter(({ state }) => state === 'issued')
    .flatMap((note) => linesOfInvoice(note.id))
  return notCredited(linesOfInvoice(id), credited)
}
