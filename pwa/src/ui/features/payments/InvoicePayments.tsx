import type { Invoice } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { money as t } from '../../../domain/words/payments'
import { accountOfInvoice, moneyOf, openOf } from '../../../store/payments'
import { Button, ButtonRow } from '../../components/Button'
import { moneyRoute } from './moneyFigures'
import { PayDirect } from './PayDirect'

/** What was paid of an issued invoice, and how the rest is paid: by transfer, on the shop's page. */
export function InvoicePayments({ row }: { row: Invoice }) {
  if (row.kind !== 'invoice') return null
  const open = openOf(row)
  const account = accountOfInvoice(row)
  return (
    <>
      <ButtonRow>
        {moneyOf(account).paid !== 0 && <Button label={t.title} to={moneyRoute(account)} />}
      </ButtonRow>
      <PayDirect number={shownName(row)} minor={open} />
    </>
  )
}
