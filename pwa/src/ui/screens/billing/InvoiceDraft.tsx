import type { Invoice } from '../../../domain/contract'
import { invoiceView as t } from '../../../domain/words/invoices'
import { customer } from '../../../store/customers'
import { beyondOf, chooseInvoiceTax, discardInvoice, issueInvoice } from '../../../store/invoices'
import { unconfirmedPrices } from '../../../store/priceBook'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { Section } from '../../components/Section'
import { RunningTotal } from '../../components/Totals'
import { calculateInvoice, newInvoiceTax } from '../../features/billing/invoiceText'
import { PricesFirst } from '../../features/quotes/PricesFirst'
import { totalName } from '../../features/quotes/TotalsTable'
import { navigate } from '../../router'
import { format, today } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { useSaveOnce } from '../../useSaveOnce'
import { InvoiceLines, InvoicePage, InvoiceSums, isWholeCredit } from './InvoicePage'
import { NotBilled } from './NotBilled'

/** A draft: its lines to check, what stands against issuing it, and the total in the dock. */
export function InvoiceDraft({ row }: { row: Invoice }) {
  const { id } = row
  const now = calculateInvoice(row)
  if (unconfirmedPrices.value.length) return <PricesFirst back={backOf(row)} />
  return (
    <InvoicePage row={row} dock={<Dock row={row} now={now} />}>
      <TaxEnded row={row} />
      <Beyond row={row} />
      <InvoiceLines row={row} now={now} />
      <ButtonRow stacked>
        {row.kind === 'invoice' ? (
          <Button wide label={t.addLine} to={{ at: 'invoice-add', id }} />
        ) : (
          <Button wide label={t.creditAgain} hint={t.creditAgainHint} onPress={() => void chooseAgain(row)} />
        )}
      </ButtonRow>
      {isWholeCredit(row) && <p class="hint">{t.creditWhole}</p>}
      <NotBilled row={row} />
      <InvoiceSums row={row} now={now} />
      <ButtonRow stacked>
        <Button wide label={t.discard} onPress={() => void discard(row)} />
      </ButtonRow>
    </InvoicePage>
  )
}

const backOf = ({ job_id }: Invoice) =>
  job_id ? ({ at: 'job', id: job_id } as const) : ({ at: 'money' } as const)

async function chooseAgain(row: Invoice): Promise<void> {
  const { credited_id } = row
  if (credited_id && (await saveWithToast(() => discardInvoice(row.id), t.discarded)))
    navigate({ at: 'invoice-credit', id: credited_id }, { replace: true })
}

async function discard(row: Invoice): Promise<void> {
  if (await saveWithToast(() => discardInvoice(row.id), t.discarded)) navigate(backOf(row), { replace: true })
}

/** What is billed beyond what the customer agreed to; the server refuses it until they are asked. */
function Beyond({ row }: { row: Invoice }) {
  const over = beyondOf(row)
  if (!over) return null
  return (
    <p class="notice">
      <b>{t.beyond(format.value.money(over))}</b> {t.beyondHint}
    </p>
  )
}

function TaxEnded({ row }: { row: Invoice }) {
  const current = newInvoiceTax(row)
  if (current === undefined) return null
  return (
    <Section title={t.taxEnded(row.basis.tax_profiles[0]?.label ?? '')} {...(!current && { hint: t.noTax })}>
      {current && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.useTax(current.label)}
            onPress={() => void saveWithToast(() => chooseInvoiceTax(row.id, current), t.taxChanged)}
          />
        </ButtonRow>
      )}
    </Section>
  )
}

function Dock({ row, now: { lines, sums } }: { row: Invoice; now: ReturnType<typeof calculateInvoice> }) {
  const { busy, save } = useSaveOnce()
  const language = customer(row.customer_id)?.language ?? 'en'
  const total = sums && lines.length ? sums.total_minor : 0
  const over = beyondOf(row)
  const against = !sums
    ? t.wrong
    : total <= 0
      ? t.nothing
      : newInvoiceTax(row) !== undefined
        ? t.taxEnded(row.basis.tax_profiles[0]?.label ?? '')
        : over && t.beyond(format.value.money(over))
  const issue = () => issueInvoice(row, { id: row.id, issued_on: today(), total_minor: total, language })
  return (
    <>
      {sums && <RunningTotal name={totalName(sums)} amount={format.value.money(total)} />}
      <PrimaryButton
        label={t.issue}
        hint={t.issueHint}
        busy={busy}
        onPress={() => (against ? showToast(against) : void save(issue, () => undefined, t.issued))}
      />
    </>
  )
}
