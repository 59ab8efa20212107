import type { PartOrderLine, Stop } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { fetchStops as t } from '../../../domain/words/fetchStops'
import { countedFetched, partArrival, partOrder, stillToCome, undoArrival } from '../../../store/partOrders'
import { toOrderBySupplier } from '../../../store/toOrder'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { countOf, countText, lineDetails } from '../../features/orders/orderText'
import { recordWhole } from '../../features/orders/recordWhole'
import { format } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'

/** What is to come from here, each ticked off in one tap; and what nobody has ordered yet. */
export function ToFetch({ row, lines }: { row: Stop; lines: readonly PartOrderLine[] }) {
  const toOrder = toOrderBySupplier.value.get(row.supplier_id ?? '') ?? []
  return (
    <>
      <Section title={t.toFetch} end={lines.length}>
        <List items={lines} keyOf={({ id }) => id} empty={t.nothing} emptyHint={t.nothingHint}>
          {(line) => <LineToFetch line={line} stop={row} />}
        </List>
      </Section>
      {toOrder.length > 0 && (
        <Section title={t.toOrder} end={toOrder.length}>
          {toOrder.map(({ id, part }) => (
            <ListItem key={id} title={countText(part)} details={part.description && part.number} />
          ))}
        </Section>
      )}
    </>
  )
}

function LineToFetch({ line, stop }: { line: PartOrderLine; stop: Stop }) {
  const order = partOrder(line.order_id)
  const open = countOf(stillToCome(line))
  async function gotAll() {
    let id = ''
    const saved = await saveWithToast(async () => {
      id = await recordWhole(line)
    })
    if (saved) showToast(t.got(line.description || line.number), () => undo(id))
  }
  return (
    <OpeningItem
      title={countText(line)}
      details={[order && shownName(order), lineDetails(line, true)].filter(Boolean).join(', ')}
      value={open}
    >
      <ButtonRow stacked>
        <Button wide label={t.all(open)} onPress={() => void gotAll()} />
        <Button wide label={t.other} to={{ at: 'part-arrival', id: line.id, stopId: stop.id }} />
      </ButtonRow>
    </OpeningItem>
  )
}

async function undo(id: string): Promise<void> {
  const row = partArrival(id)
  if (row) await undoArrival(row)
}

/** What was fetched on this visit. */
export function Fetched({ row }: { row: Stop }) {
  const came =
    row.arrived_at === null ? [] : countedFetched(row.supplier_id ?? '', row.arrived_at, row.left_at)
  if (came.length === 0) return null
  return (
    <Section title={t.hereNow} end={came.length}>
      {came.map(({ arrival, line }) => (
        <ListItem
          key={arrival.id}
          title={countText({ ...line, quantity: arrival.quantity })}
          details={line.description && line.number}
          value={format.value.time(arrival.arrived_at)}
        />
      ))}
    </Section>
  )
}
