import { paymentLink } from '../../../domain/billing/paymentLink'
import { transferCode } from '../../../domain/billing/transferCode'
import { payDirect as t } from '../../../domain/words/payments'
import { byId } from '../../../store/rows/selectors'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { DescriptionList, Section } from '../../components/Section'
import { lazy } from '../../lazy'

const LazyQrCode = lazy<{ text: string; label: string }>(() =>
  import('../../components/QrCode').then(({ QrCode }) => QrCode),
)

interface Props {
  /** What the customer names when paying: the number of the bill. */
  number: string
  /** In minor units. */
  minor: number
}

/** How the customer pays an amount by themselves: by transfer, with a code for a bank app, or on the shop's payment page. */
export function PayDirect({ number, minor }: Props) {
  const own = shop.value
  const settings = own && byId('billing_settings', own.id)
  if (!settings || minor <= 0) return null
  const { iban, bic, account_name, payment_url } = settings
  const { currency } = own
  const code = transferCode({ name: account_name, iban, bic, currency, minor, text: number })
  if (!iban && !payment_url) return null
  return (
    <Section title={t.title}>
      {code && <LazyQrCode text={code} label={t.scan} />}
      {iban && (
        <DescriptionList
          items={[
            [t.account, account_name],
            [t.iban, iban],
            [t.bic, bic],
            [t.reference, number],
          ]}
        />
      )}
      {payment_url && (
        <ButtonRow stacked>
          <Button
            wide
            newTab
            label={t.page}
            hint={t.pageHint}
            href={paymentLink(payment_url, { number, minor, currency })}
          />
        </ButtonRow>
      )}
    </Section>
  )
}
