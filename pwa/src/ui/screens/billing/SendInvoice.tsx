import type { Invoice } from '../../../domain/contract'
import { invoiceSending as t } from '../../../domain/words/invoices'
import { customer } from '../../../store/customers'
import { remakeInvoicePdf, sendInvoice } from '../../../store/invoices'
import { noticesAbout } from '../../../store/notices'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { List } from '../../components/List'
import { Section } from '../../components/Section'
import { NoticeRow } from '../../features/messages/NoticeRow'
import { PdfSection } from '../../features/pdf/PdfSection'
import { saveWithToast } from '../../toast'

/** The PDF of an issued invoice, and its link to the customer by mail or message; what was sent so far. */
export function SendInvoice({ row }: { row: Invoice }) {
  const notices = noticesAbout([row.id])
  const to = permissions.value.has('message') ? customer(row.customer_id) : undefined
  const send = (channel: 'email' | 'sms', address: string) =>
    void saveWithToast(() => sendInvoice(row.id, channel, address), t.sent)
  return (
    <>
      <PdfSection row={row} onRemake={() => remakeInvoicePdf(row.id)} />
      {to && (to.email || to.phone) && (
        <ButtonRow stacked>
          {to.email && <Button wide label={t.mail} hint={to.email} onPress={() => send('email', to.email)} />}
          {to.phone && <Button wide label={t.text} hint={to.phone} onPress={() => send('sms', to.phone)} />}
        </ButtonRow>
      )}
      {notices.length > 0 && (
        <Section title={t.sentSoFar} end={notices.length}>
          <List items={notices} keyOf={({ id }) => id} empty="">
            {(notice) => <NoticeRow row={notice} />}
          </List>
        </Section>
      )}
    </>
  )
}
