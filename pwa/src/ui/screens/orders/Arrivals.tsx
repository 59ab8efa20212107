import { useState } from 'preact/hooks'
import type { PartOrderLine } from '../../../domain/contract'
import { findLines } from '../../../domain/parts/findLines'
import { quantityText } from '../../../domain/parts/stock'
import { shownName } from '../../../domain/provisionalMarks'
import { arrivals as t } from '../../../domain/words/partOrders'
import { linesToCome, partOrder, stillToCome } from '../../../store/partOrders'
import { PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import { ScanButton } from '../../features/codes/ScanButton'
import { countOf, countText, lineDetails, supplierName } from '../../features/orders/orderText'
import { recordWhole } from '../../features/orders/recordWhole'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { useSaveOnce } from '../../useSaveOnce'

/** What is to come, of all orders or one: found by number or code, ticked off one by one or all at once. */
export function Arrivals({ orderId }: { orderId?: string }) {
  const [typed, setTyped] = useState('')
  const { busy, save } = useSaveOnce()
  const order = orderId ? partOrder(orderId) : undefined
  const lines = linesToCome(orderId)
  const found = findLines(typed, lines.map(findable)).map(({ line }) => line)

  function scanned(code: string) {
    const [only, second] = findLines(code, lines.map(findable))
    setTyped(code)
    if (only && !second) navigate({ at: 'part-arrival', id: only.line.id })
  }
  const allCame = () =>
    void save(
      () => Promise.all(lines.map(recordWhole)),
      () => navigate({ at: 'orders' }),
      t.allSaved(lines.length),
    )
  return (
    <ShopPage
      overline={order ? `${shownName(order)}, ${supplierName(order)}` : ''}
      title={t.title}
      back={orderId ? { at: 'part-order', id: orderId } : { at: 'orders' }}
      dock={orderId && lines.length > 0 && <PrimaryButton label={t.all} busy={busy} onPress={allCame} />}
    >
      <ScanButton label={t.scan} stopLabel={t.stop} onRead={scanned} />
      <TextField
        type="search"
        label={t.find}
        hint={t.findHint}
        value={typed}
        enterKey="search"
        autocapitalize="characters"
        onValueChange={setTyped}
      />
      <List items={found} keyOf={({ id }) => id} empty={lines.length ? t.noMatch(typed) : t.none}>
        {(line) => <LineRow line={line} ofOne={order !== undefined} />}
      </List>
    </ShopPage>
  )
}

function LineRow({ line, ofOne }: { line: PartOrderLine; ofOne: boolean }) {
  const order = ofOne ? undefined : partOrder(line.order_id)
  return (
    <ListItem
      to={{ at: 'part-arrival', id: line.id }}
      title={countText({ ...line, quantity: quantityText(stillToCome(line)) })}
      details={[order && `${shownName(order)}, ${supplierName(order)}`, lineDetails(line, false)]
        .filter(Boolean)
        .join(', ')}
      value={countOf(stillToCome(line))}
    />
  )
}

function findable(line: PartOrderLine) {
  const order = partOrder(line.order_id)
  const words = [line.description, order && shownName(order), order && supplierName(order)]
  return { line, number: line.number, words: words.filter(Boolean).join(' ') }
}
