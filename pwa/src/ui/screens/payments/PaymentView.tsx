import type { Payment } from '../../../domain/contract'
import { smsLink } from '../../../domain/geo/places'
import { mailLink } from '../../../domain/notices/mailLink'
import { shownName } from '../../../domain/provisionalMarks'
import { payForm, paymentKinds, paymentMethods, receipt as t } from '../../../domain/words/payments'
import { receiptText } from '../../../domain/words/receiptText'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { type Money, moneyOf, payment, printReceipt, receiptOf, reversalOf } from '../../../store/payments'
import { byId } from '../../../store/rows/selectors'
import { permissions } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { Badge, DescriptionList } from '../../components/Section'
import { PrintButtons } from '../../features/dispatch/PrintButtons'
import { moneyRoute } from '../../features/payments/moneyFigures'
import { NotFound } from '../../NotFound'
import { memberName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format, formatFor } from '../../shopFormat'

/** The receipt of an entry, at once and without signal; how the customer gets it; the way to reverse a mistake. */
export function PaymentView({ id }: { id: string }) {
  const row = payment(id)
  if (!row) return <NotFound />
  const of = subjectOf(row)
  const reversed = reversalOf(id)
  const money = moneyOf(row)
  const shown = format.value.money
  return (
    <ShopPage
      overline={t.title}
      title={shown(row.amount_minor + row.tip_minor)}
      subtitle={`${paymentKinds[row.kind]} · ${paymentMethods[row.method]}`}
      badge={<Badge text={of} />}
      back={moneyRoute(row)}
      dock={
        <PrimaryButton
          label={row.job_id ? t.toJob : t.toMoney}
          to={row.job_id ? { at: 'job', id: row.job_id } : moneyRoute(row)}
        />
      }
    >
      {reversed && <p class="notice">{t.isReversed}</p>}
      {row.reverses_id && <p class="notice">{t.isReversal}</p>}
      <DescriptionList
        items={[
          [t.customer, customer(row.customer_id)?.name],
          [t.day, format.value.day(row.paid_on)],
          [t.tip, row.tip_minor > 0 && shown(row.tip_minor)],
          [payForm.references[row.method], row.reference],
          [t.takenBy, row.member_id && memberName(row.member_id)],
          [t.note, row.note],
          [t.open, money.has_bill && shown(money.open)],
        ]}
      />
      {!reversed && !row.reverses_id && (
        <>
          <SendReceipt row={row} of={of} money={money} />
          <PrintButtons
            path="billing-printouts"
            words={t.makePdf}
            openWords={t.openPdf}
            printout={receiptOf(id)}
            onAsk={() => printReceipt(id)}
          />
          {mayReverse(row) && (
            <ButtonRow stacked>
              <Button wide label={t.reverse} to={{ at: 'payment-reverse', id }} />
            </ButtonRow>
          )}
        </>
      )}
    </ShopPage>
  )
}

/** What an entry is for: the job, else the invoice. */
function subjectOf({ job_id, invoice_id }: Payment): string {
  const of = job_id ? job(job_id) : byId('invoice', invoice_id ?? '')
  return of ? shownName(of) : ''
}

const mayReverse = ({ kind }: Payment) => permissions.value.has(kind === 'refund' ? 'keep_books' : 'bill')

/** Opens the phone's own message or mail with the receipt in the customer's language. */
function SendReceipt({ row, of, money }: { row: Payment; of: string; money: Money }) {
  const to = customer(row.customer_id)
  if (!to || !permissions.value.has('message') || (!to.phone && !to.email)) return null
  const language = to.language ?? 'en'
  const read = formatFor(language)
  const { subject, body } = receiptText(language, {
    shop: shop.value?.name ?? '',
    kind: row.kind,
    method: row.method,
    amount: read.money(row.amount_minor),
    tip: row.tip_minor ? read.money(row.tip_minor) : '',
    day: read.day(row.paid_on),
    job: of,
    open: money.open > 0 ? read.money(money.open) : '',
    is_paid: money.has_bill && money.open === 0,
  })
  return (
    <ButtonRow>
      {to.phone && <Button label={t.text} href={smsLink(to.phone, body)} />}
      {to.email && <Button label={t.mail} href={mailLink(to.email, subject, body)} />}
    </ButtonRow>
  )
}
