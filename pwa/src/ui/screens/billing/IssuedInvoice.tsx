import type { Invoice } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { invoiceStates, invoiceView as t } from '../../../domain/words/invoices'
import { money } from '../../../domain/words/payments'
import { creditNotesOf } from '../../../store/invoices'
import { job } from '../../../store/jobs'
import { accountOfInvoice, openOf } from '../../../store/payments'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { calculateInvoice } from '../../features/billing/invoiceText'
import { reminderText } from '../../features/billing/reminderText'
import { InvoicePayments } from '../../features/payments/InvoicePayments'
import { payRoute } from '../../features/payments/moneyFigures'
import { format } from '../../shopFormat'
import { InvoiceFiles } from './InvoiceFiles'
import { InvoiceLines, InvoicePage, InvoiceSums } from './InvoicePage'
import { SendInvoice } from './SendInvoice'

/** What was issued; a correction of it is a credit note. */
export function IssuedInvoice({ row }: { row: Invoice }) {
  const now = calculateInvoice(row)
  const { weekday } = format.value
  const notes = creditNotesOf(row.id)
  const reminder = row.kind === 'invoice' ? reminderText(row) : ''
  const mayCredit = row.kind === 'invoice' && row.state === 'issued' && permissions.value.has('keep_books')
  const open = row.kind === 'invoice' ? openOf(row) : 0
  const takes = open > 0 && permissions.value.has('bill')
  const jobRow = row.job_id ? job(row.job_id) : undefined
  return (
    <InvoicePage
      row={row}
      dock={
        takes && (
          <PrimaryButton
            label={money.takeOpen(format.value.money(open))}
            to={payRoute(accountOfInvoice(row))}
          />
        )
      }
    >
      <DescriptionList
        items={[
          [t.issuedOn, row.issued_on && weekday(row.issued_on)],
          [t.due, row.due_on && weekday(row.due_on)],
          [money.open, row.kind === 'invoice' && format.value.money(open)],
        ]}
      />
      <InvoiceLines row={row} now={now} />
      <InvoiceSums row={row} now={now} />
      <InvoicePayments row={row} />
      {reminder && <p class="hint">{reminder}</p>}
      {row.note && <p class="multiline">{row.note}</p>}
      {notes.length > 0 && (
        <Section title={t.creditNotes}>
          <List items={notes} keyOf={({ id }) => id} empty="">
            {(note) => (
              <ListItem
                to={{ at: 'invoice', id: note.id }}
                title={shownName(note)}
                value={note.totals && format.value.money(-note.totals.total_minor)}
                details={invoiceStates[note.state]}
              />
            )}
          </List>
        </Section>
      )}
      <SendInvoice row={row} />
      <InvoiceFiles row={row} />
      <p class="hint">{t.unchangeable}</p>
      <ButtonRow stacked>
        {jobRow && <Button wide label={`${t.job} ${shownName(jobRow)}`} to={{ at: 'job', id: jobRow.id }} />}
        {mayCredit && (
          <Button wide label={t.credit} hint={t.creditHint} to={{ at: 'invoice-credit', id: row.id }} />
        )}
      </ButtonRow>
    </InvoicePage>
  )
}
