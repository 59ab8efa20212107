import type { Customer, Invoice, Payment } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { invoiceKinds } from '../../../domain/words/invoices'
import { owed as t } from '../../../domain/words/owed'
import { paymentKinds, paymentMethods } from '../../../domain/words/payments'
import { customer } from '../../../store/customers'
import {
  printStatement,
  type StatementLine,
  sendStatement,
  statementOf,
  statementPrintout,
} from '../../../store/owed'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { PrintButtons } from '../../features/dispatch/PrintButtons'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'
import { saveWithToast } from '../../toast'

/** The statement of a customer: every invoice, credit note and payment, what is open after each, and the paper. */
export function Statement({ id }: { id: string }) {
  const row = customer(id)
  if (!row) return <NotFound />
  const lines = statementOf(id)
  const open = lines.at(-1)?.balance ?? 0
  const { money } = format.value
  return (
    <ShopPage
      overline={row.name || en.app.noName}
      title={t.statement}
      subtitle={<b>{open > 0 ? t.owes(money(open)) : open < 0 ? t.inFavor(money(-open)) : t.even}</b>}
      back={{ at: 'customer', id }}
    >
      <Section title={t.entries} end={lines.length || undefined}>
        <List items={lines.toReversed()} keyOf={(line) => line.id} empty={t.noEntries} most={40}>
          {(line) => <Entry line={line} />}
        </List>
      </Section>
      {lines.length > 0 && permissions.value.has('bill') && <Paper row={row} />}
    </ShopPage>
  )
}

const isInvoice = (of: Invoice | Payment): of is Invoice => 'issued_on' in of

function Entry({ line: { of, on, minor, balance } }: { line: StatementLine }) {
  const { money, day } = format.value
  const after = t.balance(money(balance))
  if (isInvoice(of))
    return (
      <ListItem
        to={{ at: 'invoice', id: of.id }}
        title={`${invoiceKinds[of.kind]} ${shownName(of)}`}
        value={money(minor)}
        details={en.app.joined([day(on), after])}
      />
    )
  const kind = paymentKinds[of.kind]
  return (
    <ListItem
      to={{ at: 'payment', id: of.id }}
      title={of.reverses_id ? t.reversal(kind) : kind}
      value={money(minor)}
      details={en.app.joined([day(on), paymentMethods[of.method], after])}
    />
  )
}

/** The paper, and its link to the customer. */
function Paper({ row }: { row: Customer }) {
  const printout = statementPrintout(row.id)
  const isReady = printout?.state === 'ready' && permissions.value.has('message')
  const send = (channel: 'email' | 'sms', address: string) =>
    void saveWithToast(() => sendStatement(printout?.id ?? '', channel, address), t.sent)
  return (
    <>
      <PrintButtons
        path="billing-printouts"
        words={printout ? t.again : t.print}
        openWords={t.open}
        printout={printout}
        onAsk={() => printStatement(row.id, today())}
      />
      {isReady && (
        <ButtonRow stacked>
          {row.email && (
            <Button wide label={t.mail} hint={row.email} onPress={() => send('email', row.email)} />
          )}
          {row.phone && (
            <Button wide label={t.text} hint={row.phone} onPress={() => send('sms', row.phone)} />
          )}
        </ButtonRow>
      )}
      <p class="hint">{t.signal}</p>
    </>
  )
}
