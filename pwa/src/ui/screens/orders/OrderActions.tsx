import type { PartOrder, PartOrderLine } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { orderMayBecome } from '../../../domain/states'
import { order as t } from '../../../domain/words/partOrders'
import {
  answerLines,
  arrivalsOfLine,
  cancelOrder,
  closeOrder,
  linesToCome,
  printOrder,
} from '../../../store/partOrders'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { PrintButtons } from '../../features/dispatch/PrintButtons'
import { saveWithToast } from '../../toast'

interface Props {
  row: PartOrder
  lines: readonly PartOrderLine[]
}

/** What else can be done with an order. */
export function OrderActions({ row, lines }: Props) {
  if (!permissions.value.has('order_parts')) return null
  const unanswered = linesToCome(row.id).filter(({ answer }) => answer === 'open')
  const came = lines.some(({ id }) => arrivalsOfLine(id).length > 0)
  const confirmAll = () => Promise.all(unanswered.map(confirm))
  const { id, pdf_state: state, pdf_reason: reason } = row
  return (
    <>
      {lines.length > 0 && (
        <PrintButtons
          path="part-orders"
          words={t.print}
          openWords={t.openPdf}
          printout={{ id, state, reason }}
          onAsk={() => printOrder(id)}
        />
      )}
      <ButtonRow stacked>
        {row.state === 'draft' && <Button wide label={t.add} to={{ at: 'part-order-add', id: row.id }} />}
        {unanswered.length > 1 && (
          <Button wide label={t.confirmAll} onPress={() => void saveWithToast(confirmAll, t.confirmedAll)} />
        )}
        <Button wide label={t.edit} to={{ at: 'part-order-edit', id: row.id }} />
        {lines.length > 0 && <Button wide label={t.csv} onPress={() => void saveCsv(row, lines)} />}
        {linesToCome(row.id).length > 0 && (
          <Button
            wide
            label={t.close}
            onPress={() => void saveWithToast(() => closeOrder(row.id), t.closed)}
          />
        )}
        {orderMayBecome(row.state, 'cancelled') && !came && (
          <Button
            wide
            label={t.cancel}
            onPress={() => void saveWithToast(() => cancelOrder(row.id), t.cancelled)}
          />
        )}
      </ButtonRow>
    </>
  )
}

const confirm = ({ id, promised_on }: PartOrderLine) =>
  answerLines([id], { answer: 'confirmed', promised_on, cost_minor: null })

/** Saves an order as a table for programs of others. */
async function saveCsv(row: PartOrder, lines: readonly PartOrderLine[]): Promise<void> {
  const { csvText, downloadCsv } = await import('../../features/tables/csv')
  const number = shownName(row)
  const body = lines.map((line) => [number, line.number, line.description, line.quantity])
  downloadCsv(`${number}.csv`, csvText([t.columns, ...body]))
}
