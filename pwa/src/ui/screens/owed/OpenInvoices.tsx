import type { AgeBucket } from '../../../domain/billing/ageing'
import type { Invoice } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { owed as t } from '../../../domain/words/owed'
import { customer } from '../../../store/customers'
import { openAmounts } from '../../../store/owed'
import { List, ListItem } from '../../components/List'
import { daysPastDue } from '../../features/billing/invoiceText'
import { reminderText } from '../../features/billing/reminderText'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'

interface Props {
  customerId?: string
  bucket?: string
}

/** The invoices behind a sum, the oldest first, with the reminders that went out and the next one. */
export function OpenInvoices({ customerId = '', bucket = '' }: Props) {
  const amounts = openAmounts(today()).filter(
    (each) => (!customerId || each.customer_id === customerId) && (!bucket || each.bucket === bucket),
  )
  const { money } = format.value
  const name = customer(customerId)?.name ?? ''
  const age = bucket in t.buckets ? t.buckets[bucket as AgeBucket] : ''
  const rows = amounts.toSorted((a, b) => ((a.invoice?.due_on ?? '') < (b.invoice?.due_on ?? '') ? -1 : 1))
  const sum = amounts.reduce((total, { minor }) => total + minor, 0)
  return (
    <ShopPage
      overline={t.title}
      title={en.app.joined([name, age]) || t.all}
      subtitle={money(sum)}
      back={{ at: 'ageing' }}
    >
      <List items={rows} keyOf={(row) => row.invoice?.id ?? row.customer_id} empty={t.nothing}>
        {({ invoice, customer_id, minor }) =>
          invoice ? (
            <ListItem
              to={{ at: 'invoice', id: invoice.id }}
              title={en.app.joined([shownName(invoice), customer(customer_id)?.name])}
              value={money(minor)}
              details={detailsOf(invoice)}
            />
          ) : (
            <ListItem
              to={{ at: 'statement', id: customer_id }}
              title={customer(customer_id)?.name || en.app.noName}
              value={money(minor)}
              details={t.kept}
            />
          )
        }
      </List>
    </ShopPage>
  )
}

function detailsOf(invoice: Invoice): string {
  const { day } = format.value
  const late = daysPastDue(invoice)
  return en.app.joined([
    invoice.due_on ? t.due(day(invoice.due_on)) : '',
    late ? t.late(late) : '',
    reminderText(invoice),
  ])
}
