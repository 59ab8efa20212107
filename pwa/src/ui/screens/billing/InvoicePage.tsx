import type { ComponentChildren } from 'preact'
import { creditsWhole } from '../../../domain/billing/creditNotes'
import type { Invoice } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { invoiceKinds, invoiceStates, invoiceView as t } from '../../../domain/words/invoices'
import { customer } from '../../../store/customers'
import { invoice } from '../../../store/invoices'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { List, ListItem } from '../../components/List'
import { Badge, Section } from '../../components/Section'
import type { calculateInvoice } from '../../features/billing/invoiceText'
import { linePriceText, TotalsTable } from '../../features/quotes/TotalsTable'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'

interface Props {
  row: Invoice
  dock?: ComponentChildren
  children: ComponentChildren
}

/** The page of an invoice: who pays, for which machine, its number or mark and its state. */
export function InvoicePage({ row, dock, children }: Props) {
  const jobRow = row.job_id ? job(row.job_id) : undefined
  const credited = row.credited_id ? invoice(row.credited_id) : undefined
  return (
    <ShopPage
      overline={customer(row.customer_id)?.name ?? ''}
      title={invoiceKinds[row.kind]}
      subtitle={
        <>
          {jobRow && <p>{machineName(machine(jobRow.machine_id))}</p>}
          <p>
            <b>{invoiceStates[row.state]}</b>
            {credited && ` · ${t.credits(shownName(credited))}`}
          </p>
        </>
      }
      badge={
        <Badge
          text={shownName(row)}
          {...(row.state !== 'draft' && row.number === null && { small: t.numberLater })}
        />
      }
      back={row.job_id ? { at: 'job', id: row.job_id } : { at: 'money' }}
      dock={dock}
    >
      {children}
    </ShopPage>
  )
}

/** The draft of a credit note with what was added for the whole invoice, which no line may leave by itself. */
export const isWholeCredit = (row: Invoice): boolean => row.state === 'draft' && creditsWhole(row)

interface LinesProps {
  row: Invoice
  now: ReturnType<typeof calculateInvoice>
}

/** The lines with their amounts; those of a draft lead to their form. */
export function InvoiceLines({ row, now: { lines, shown } }: LinesProps) {
  return (
    <Section title={t.lines} end={lines.length}>
      <List items={lines} keyOf={({ id }) => id} empty={t.empty} emptyHint={t.emptyHint}>
        {(line) => {
          const priced = shown.find(({ id }) => id === line.id)
          return (
            <ListItem
              {...(row.state === 'draft' &&
                !isWholeCredit(row) && {
                  to: { at: 'invoice-line', id: row.id, lineId: line.id } as const,
                })}
              title={line.words}
              value={priced && format.value.money(priced.amount_minor)}
              details={priced && linePriceText(priced)}
            />
          )
        }}
      </List>
    </Section>
  )
}

export function InvoiceSums({ row, now: { lines, sums } }: LinesProps) {
  if (!sums || !lines.length) return null
  // What was asked before the work is no part of an invoice.
  const billed = { ...sums, deposit_minor: 0 }
  return (
    <Section title={t.comesTo}>
      <TotalsTable sums={billed} inclusive={row.basis.tax_profiles[0]?.inclusive ?? false} />
    </Section>
  )
}
