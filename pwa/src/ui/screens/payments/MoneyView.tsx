import { towardBill } from '../../../domain/billing/payments'
import type { Payment } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { paymentKinds, paymentMethods, money as t } from '../../../domain/words/payments'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import {
  type Account,
  accountOfInvoice,
  accountsOf,
  billNumbers,
  creditOfCustomer,
  entriesOf,
  moneyOf,
  namedBy,
  recordRefund,
  reversalOf,
} from '../../../store/payments'
import { byId } from '../../../store/rows/selectors'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Badge, DescriptionList, Section } from '../../components/Section'
import { moneyFigures, payRoute, refundRoute } from '../../features/payments/moneyFigures'
import { PayDirect } from '../../features/payments/PayDirect'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { useSaveOnce } from '../../useSaveOnce'

/** The money of a job: what is approved, billed, paid and open by payer, and every entry. */
export function JobMoneyView({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  return (
    <ShopPage title={t.title} badge={<Badge text={shownName(row)} />} back={{ at: 'job', id }}>
      {accountsOf(id).map((account) => (
        <PayerMoney key={account.customer_id} account={account} />
      ))}
    </ShopPage>
  )
}

/** The same of an invoice without a job. */
export function InvoiceMoneyView({ id }: { id: string }) {
  const row = byId('invoice', id)
  if (!row) return <NotFound />
  return (
    <ShopPage title={t.title} badge={<Badge text={shownName(row)} />}>
      <PayerMoney account={accountOfInvoice(row)} />
    </ShopPage>
  )
}

function PayerMoney({ account }: { account: Account }) {
  const money = moneyOf(account)
  const shown = format.value.money
  const credit = creditOfCustomer(account.customer_id)
  const named = namedBy(account)
  return (
    <Section title={customer(account.customer_id)?.name ?? ''}>
      <DescriptionList items={[...moneyFigures(money), [t.credit, credit > 0 && shown(credit)]]} />
      {money.too_much > 0 && <TooMuch account={account} minor={money.too_much} />}
      <List items={entriesOf(account).toReversed()} keyOf={(each) => each.id} empty={t.none}>
        {(each) => <Entry row={each} />}
      </List>
      <ButtonRow>
        {permissions.value.has('bill') && (
          <Button label={money.open > 0 ? t.takeOpen(shown(money.open)) : t.take} to={payRoute(named)} />
        )}
        {permissions.value.has('keep_books') && money.paid > 0 && (
          <Button label={t.giveBack} to={refundRoute(named)} />
        )}
      </ButtonRow>
      {money.open > 0 && <PayDirect number={billNumbers(account)} minor={money.open} />}
    </Section>
  )
}

/** What was paid too much, kept as credit in one press; it is given back by the form below. */
function TooMuch({ account, minor }: { account: Account; minor: number }) {
  const { busy, save } = useSaveOnce()
  const keep = () =>
    void save(
      () => recordRefund({ ...namedBy(account), method: 'credit', amount_minor: minor }),
      () => undefined,
      t.kept,
    )
  return (
    <>
      <p class="notice">
        <b>{t.tooMuch(format.value.money(minor))}</b> {t.tooMuchHint}
      </p>
      {permissions.value.has('keep_books') && (
        <ButtonRow>
          <Button label={t.keep} {...(!busy && { onPress: keep })} />
        </ButtonRow>
      )}
    </>
  )
}

function Entry({ row }: { row: Payment }) {
  const { money, day } = format.value
  const kind = paymentKinds[row.kind]
  return (
    <ListItem
      title={row.reverses_id ? t.reversal(kind) : kind}
      value={money(row.kind === 'tip' ? row.amount_minor : towardBill(row))}
      details={[
        day(row.paid_on),
        paymentMethods[row.method],
        row.tip_minor > 0 && t.withTip(money(row.tip_minor)),
        reversalOf(row.id) && t.reversed,
      ]
        .filter(Boolean)
        .join(' · ')}
      to={{ at: 'payment', id: row.id }}
    />
  )
}
