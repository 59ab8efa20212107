import type { Job } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { invoiceKinds, invoiceStates, jobBill as t } from '../../../domain/words/invoices'
import { hasDecided } from '../../../store/agreed'
import { billJob, invoicesOf, leftToBill, linesOfInvoice, signOf } from '../../../store/invoices'
import { decidedQuotes } from '../../../store/quotes'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { navigate } from '../../router'
import { format } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { currentBasis } from '../quotes/quoteCalculation'
import { drivenTrips } from './billedExtras'

/** A job's invoices and credit notes, newest first. */
export function JobInvoices({ job }: { job: Job }) {
  const invoices = invoicesOf(job.id).toReversed()
  if (!invoices.length) return null
  return (
    <Section title={t.title} end={invoices.length}>
      <List items={invoices} keyOf={({ id }) => id} empty="">
        {(invoice) => (
          <ListItem
            to={{ at: 'invoice', id: invoice.id }}
            title={<Serial text={shownName(invoice)} />}
            value={invoice.totals && format.value.money(signOf(invoice) * invoice.totals.total_minor)}
            details={en.app.joined([
              invoice.kind === 'credit_note' ? invoiceKinds[invoice.kind] : '',
              invoiceStates[invoice.state],
            ])}
          />
        )}
      </List>
    </Section>
  )
}

const draftOf = ({ id }: Job) =>
  invoicesOf(id).find(({ state, kind }) => state === 'draft' && kind === 'invoice')
const basisOf = ({ id }: Job) => currentBasis(decidedQuotes(id)[0]?.basis)

/** Whether something is on a draft, or agreed and on no invoice yet. */
export function hasToBill(job: Job): boolean {
  const draft = draftOf(job)
  if (draft && linesOfInvoice(draft.id).length > 0) return true
  const basis = basisOf(job)
  return !!basis && leftToBill(job.id, basis, Date.now())
}

/**
 * Bills everything agreed on a job and not billed yet, or goes on with the draft that is there; `main`: it is the main act
 * of the screen.
 */
export function BillButton({ job, main }: { job: Job; main?: boolean }) {
  if (!permissions.value.has('bill') || !hasDecided(job.id)) return null
  const draft = draftOf(job)
  const words = hasToBill(job)
    ? { label: t.bill, hint: t.billHint }
    : { label: t.billMore, hint: t.billMoreHint }
  if (main)
    return draft ? (
      <PrimaryButton label={t.goOn} to={{ at: 'invoice', id: draft.id }} shortcut="job.bill" />
    ) : (
      <PrimaryButton {...words} shortcut="job.bill" onPress={() => void startInvoice(job)} />
    )
  return (
    <ButtonRow stacked>
      {draft ? (
        <Button wide label={t.goOn} to={{ at: 'invoice', id: draft.id }} shortcut="job.bill" />
      ) : (
        <Button wide {...words} onPress={() => void startInvoice(job)} shortcut="job.bill" />
      )}
    </ButtonRow>
  )
}

async function startInvoice(job: Job): Promise<void> {
  const basis = basisOf(job)
  if (!basis) return showToast(en.quote.builder.noTax)
  let id = ''
  const saved = await saveWithToast(async () => {
    id = await billJob(job, basis, drivenTrips(job), Date.now())
  }, t.started)
  if (saved) navigate({ at: 'invoice', id })
}
