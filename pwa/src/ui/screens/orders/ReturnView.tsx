import type { PartReturn } from '../../../domain/contract'
import { returnMayBecome } from '../../../domain/states'
import { returns, returnView as t } from '../../../domain/words/partOrders'
import { owedOfReturn, partReturn, refuseReturn, sendReturn } from '../../../store/partReturns'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { Badge, DescriptionList } from '../../components/Section'
import { countText, supplierName } from '../../features/orders/orderText'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'
import { saveWithToast } from '../../toast'

/** A part that goes back, until its money is back. */
export function ReturnView({ id }: { id: string }) {
  const row = partReturn(id)
  if (!row) return <NotFound />
  const { day, money } = format.value
  const owed = permissions.value.has('see_cost') ? owedOfReturn(row) : 0
  const amount = (minor: number | null) => minor !== null && money(minor)
  return (
    <ShopPage
      overline={supplierName(row)}
      title={countText(row)}
      subtitle={row.description && row.number}
      badge={<Badge text={returns.states[row.state]} />}
      back={{ at: 'part-returns' }}
      dock={<NextAct row={row} />}
    >
      <DescriptionList
        items={[
          [t.reason, returns.reasons[row.reason]],
          [t.sent, row.sent_on && day(row.sent_on)],
          [t.expected, amount(row.expected_minor)],
          [t.refunded, amount(row.refunded_minor)],
          [t.owed, owed > 0 && money(owed)],
        ]}
      />
      {row.note && <p class="multiline">{row.note}</p>}
      <MoreActs row={row} />
    </ShopPage>
  )
}

/** Sending it back; after that its refund. */
function NextAct({ row }: { row: PartReturn }) {
  if (row.state === 'to_send') {
    const send = () => void saveWithToast(() => sendReturn(row.id, today()), t.sentSaved)
    return <PrimaryButton label={t.sendNow} onPress={send} />
  }
  const may = permissions.value.has('order_parts') && row.state === 'sent'
  return may ? <PrimaryButton label={t.refund} to={{ at: 'part-return-refund', id: row.id }} /> : null
}

function MoreActs({ row }: { row: PartReturn }) {
  const mayRefund = permissions.value.has('order_parts')
  const refuse = () => void saveWithToast(() => refuseReturn(row.id, ''), t.refusedSaved)
  return (
    <ButtonRow stacked>
      {mayRefund && row.state !== 'sent' && (
        <Button wide label={t.refund} to={{ at: 'part-return-refund', id: row.id }} />
      )}
      {mayRefund && returnMayBecome(row.state, 'refused') && (
        <Button wide label={t.refused} onPress={refuse} />
      )}
      <Button wide label={t.edit} to={{ at: 'part-return-edit', id: row.id }} />
    </ButtonRow>
  )
}
