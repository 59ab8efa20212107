import { computed } from '@preact/signals'
import type {
  Command,
  LineAnswer,
  Notice,
  OrderBy,
  PartArrival,
  PartNeed,
  PartOrder,
  PartOrderLine,
  StockMove,
} from '../domain/contract'
import { type DecimalText, type Exact, exact, plus, times } from '../domain/numbers/decimal'
import { countedArrivals, goodOf, isOpen, type LineStatus, openOf } from '../domain/parts/orders'
import { oppositeOf, quantityText } from '../domain/parts/stock'
import { moment } from '../domain/time'
import { newId } from './browser/clock'
import { isFinished, job } from './jobs'
import { noticesAbout } from './notices'
import { type Changes, type NewRowFields, sendAdd, sendEdit, sendRemove } from './queue/commands'
import { enqueue, enqueueAll, newProvisionalMark } from './queue/outbox'
import { allOf, byAge, byId, compare, ownedBy } from './rows/selectors'
import { requireShopSession } from './session/shopSession'

export const partOrder = (id: string) => byId('part_order', id)
export const partArrival = (id: string) => byId('part_arrival', id)
export const partOrderLine = (id: string) => byId('part_order_line', id)

export const linesOfOrder = (order_id: string): PartOrderLine[] =>
  ownedBy('part_order_line', 'order_id', order_id).sort((a, b) => a.position - b.position || byAge(a, b))

/** The arrivals of a line that count, oldest first. */
export const arrivalsOfLine = (line_id: string): PartArrival[] =>
  countedArrivals(ownedBy('part_arrival', 'order_line_id', line_id).sort(byAge))

export const statusOfLine = ({ id, quantity, answer }: PartOrderLine): LineStatus => ({
  quantity,
  answer,
  good: goodOf(ownedBy('part_arrival', 'order_line_id', id)),
})

export const stillToCome = (line: PartOrderLine): Exact => openOf(statusOfLine(line))

const isUnderWay = ({ state }: PartOrder) => state === 'sent' || state === 'confirmed'

export const needOfLine = ({ need_id }: PartOrderLine): PartNeed | undefined =>
  need_id ? byId('part_need', need_id) : undefined

/** What came of an order in good condition, at the price paid or else ordered at. */
export const receivedOfOrder = (order_id: string): Exact =>
  linesOfOrder(order_id)
    .flatMap((line) => arrivalsOfLine(line.id).map((arrival) => ({ line, arrival })))
    .filter(({ arrival }) => arrival.condition === 'good')
    .reduce(
      (sum, { line, arrival }) =>
        plus(sum, times(exact(arrival.quantity), exact(arrival.cost_minor ?? line.cost_minor ?? 0))),
      exact(0),
    )

/** What was ordered on an order, at the prices on it. */
export const valueOfOrder = (order_id: string): Exact =>
  linesOfOrder(order_id).reduce(
    (sum, { quantity, cost_minor }) => plus(sum, times(exact(quantity), exact(cost_minor ?? 0))),
    exact(0),
  )

/** Orders that are not over, drafts first, then those promised soonest. */
export const openOrders = computed(() =>
  allOf('part_order')
    .filter((row) => row.state === 'draft' || isUnderWay(row))
    .sort(
      (a, b) =>
        Number(isUnderWay(a)) - Number(isUnderWay(b)) ||
        compare(a.promised_on ?? '9999', b.promised_on ?? '9999') ||
        byAge(a, b),
    ),
)

/** How many are to come for the shelf, by drafts too, by the id of their part in the catalog. */
const onOrderByPart = computed(() => {
  const found = new Map<string, Exact>()
  for (const line of openOrders.value.flatMap(({ id }) => linesOfOrder(id))) {
    if (line.catalog_part_id === null || line.need_id !== null) continue
    const before = found.get(line.catalog_part_id) ?? exact(0)
    found.set(line.catalog_part_id, plus(before, stillToCome(line)))
  }
  return found
})

/** How many of a part of the catalog are to come for the shelf, by drafts too. */
export const onOrder = (catalog_part_id: string): DecimalText =>
  quantityText(onOrderByPart.value.get(catalog_part_id) ?? exact(0))

/** The orders that are over, newest first. */
export const finishedOrders = computed(() =>
  allOf('part_order')
    .filter((row) => row.state !== 'draft' && !isUnderWay(row))
    .sort((a, b) => compare(b.changed_at, a.changed_at) || byAge(b, a)),
)

/** The order that a need is on, the newest where there are several; one that was cancelled only if there is no other. */
export function orderOfNeed(need_id: string): PartOrder | undefined {
  const orders = ownedBy('part_order_line', 'need_id', need_id)
    .sort(byAge)
    .map(({ order_id }) => partOrder(order_id))
    .filter((row) => row !== undefined)
  return orders.findLast(({ state }) => state !== 'cancelled') ?? orders.at(-1)
}

/** The lines of orders under way of which something is to come, by the order of the orders. */
export const linesToCome = (order_id?: string): PartOrderLine[] =>
  openOrders.value
    .filter((row) => isUnderWay(row) && (!order_id || row.id === order_id))
    .flatMap(({ id }) => linesOfOrder(id))
    .filter((line) => isOpen(statusOfLine(line)))

/** The lines to come from a supplier. */
export const linesToFetch = (supplier_id: string): PartOrderLine[] =>
  linesToCome().filter(({ order_id }) => partOrder(order_id)?.supplier_id === supplier_id)

/** What came of lines of a supplier in a span of time and counts, newest first: what a driver fetched there. */
export const countedFetched = (supplier_id: string, from: string, to: string | null) =>
  allOf('part_order')
    .filter((row) => row.supplier_id === supplier_id)
    .flatMap(({ id }) => linesOfOrder(id))
    .flatMap((line) => arrivalsOfLine(line.id).map((arrival) => ({ line, arrival })))
    .filter(({ arrival: { arrived_at: at } }) => at >= from && (to === null || at <= to))
    .sort((a, b) => byAge(b.arrival, a.arrival))

/** The ids of the needs that are on an order which is a draft or under way, as far as they are to come by it. */
const needsOnOrder = computed(
  () =>
    new Set(
      openOrders.value
        .flatMap(({ id }) => linesOfOrder(id))
        .filter((line) => isOpen(statusOfLine(line)))
        .map(({ need_id }) => need_id),
    ),
)

/** The parts that open jobs want and nobody has put on an order, oldest first. */
export const needsToOrder = computed((): PartNeed[] =>
  allOf('part_need')
    .filter(({ id, state, job_id }) => {
      const of = job(job_id)
      return state === 'wanted' && !needsOnOrder.value.has(id) && !!of && !isFinished(of)
    })
    .sort(byAge),
)

/** A part to put on an order. */
export type OrderedPart = Omit<NewRowFields<'add_part_order_line'>, 'order_id' | 'position'>

/** A supplier that the shop has, or the name of a new one. */
export type OrderFrom = { readonly id: string } | { readonly name: string }

/**
 * Puts parts on the draft for a supplier, which is begun where there is none; a new supplier is added first. Returns the
 * order's id.
 */
export async function orderParts(from: OrderFrom, parts: readonly OrderedPart[]): Promise<string> {
  const supplier_id = 'id' in from ? from.id : newId()
  const draft = openOrders.value.find((row) => row.state === 'draft' && row.supplier_id === supplier_id)
  const order_id = draft?.id ?? newId()
  const commands: Command[] = []
  if ('name' in from) commands.push({ name: 'add_supplier', args: { id: supplier_id, name: from.name } })
  if (!draft) {
    const mark = await newProvisionalMark(requireShopSession().db)
    commands.push({ name: 'add_part_order', args: { id: order_id, supplier_id, mark } })
  }
  const first = draft ? nextPosition(order_id) : 0
  parts.forEach((part, at) => {
    commands.push({
      name: 'add_part_order_line',
      args: { ...part, id: newId(), order_id, position: first + at },
    })
  })
  await enqueueAll(commands)
  return order_id
}

const nextPosition = (order_id: string) =>
  Math.max(-1, ...linesOfOrder(order_id).map(({ position }) => position)) + 1

export const addOrderLine = (order_id: string, part: OrderedPart) =>
  sendAdd('add_part_order_line', { ...part, order_id, position: nextPosition(order_id) })
export const editOrder = (seen: PartOrder, wanted: Changes<'edit_part_order'>) =>
  sendEdit('edit_part_order', seen, wanted)
export const editOrderLine = (seen: PartOrderLine, wanted: Changes<'edit_part_order_line'>) =>
  sendEdit('edit_part_order_line', seen, wanted)
export const removeOrderLine = (id: string) => sendRemove('remove_part_order_line', id)

export async function noteOrderSent(id: string, how: OrderBy): Promise<void> {
  await enqueue('note_part_order_sent', { id, how, sent_at: moment(Date.now()) })
}

/** The mail of an order that did not go out, such as where no mail is set up; undefined where it did or is to. */
export function unsentMail(row: PartOrder): Notice | undefined {
  if (row.state !== 'sent' || row.sent_how !== 'mail') return undefined
  const last = noticesAbout([row.id]).at(-1)
  return last && UNSENT.has(last.state) ? last : undefined
}

const UNSENT: ReadonlySet<Notice['state']> = new Set(['by_hand', 'refused', 'withheld'])

/** Has the server mail an order; it needs signal to go out. */
export async function mailOrder(id: string, address: string): Promise<void> {
  await enqueue('mail_part_order', { id, address, sent_at: moment(Date.now()) })
}

export async function cancelOrder(id: string): Promise<void> {
  await enqueue('cancel_part_order', { id })
}

/** Has the server make the PDF of an order. */
export async function printOrder(id: string): Promise<void> {
  await enqueue('print_part_order', { id })
}

export async function closeOrder(id: string): Promise<void> {
  await enqueue('close_part_order', { id })
}

interface Answer {
  readonly answer: LineAnswer
  readonly promised_on: PartOrderLine['promised_on']
  readonly cost_minor: number | null
}

/** Records what the supplier said about these lines. */
export async function answerLines(ids: readonly string[], answer: Answer): Promise<void> {
  await enqueueAll(ids.map((id) => ({ name: 'answer_part_order_line', args: { id, ...answer } })))
}

export type Arrival = Omit<NewRowFields<'record_part_arrival'>, 'arrived_at' | 'undoes_id'>

type SentBack = Omit<NewRowFields<'add_part_return'>, 'order_line_id'>

/** Where a part that no job needs is put. */
interface Shelf {
  readonly catalog_part_id: string
  readonly place_id: string
}

/** Records what came of a line, now; in the same tap it is put on a shelf, or on the list of returns. */
export async function recordArrival(
  arrival: Arrival,
  { sentBack, shelf }: { sentBack?: SentBack | undefined; shelf?: Shelf | undefined } = {},
): Promise<string> {
  const id = newId()
  const at = moment(Date.now())
  const commands: Command[] = [{ name: 'record_part_arrival', args: { ...arrival, id, arrived_at: at } }]
  if (shelf) {
    const moved = { id: newId(), quantity: arrival.quantity, reason: 'arrived', moved_at: at } as const
    commands.push({ name: 'record_stock_move', args: { ...moved, ...shelf } })
  }
  if (sentBack) {
    const args = { ...sentBack, id: newId(), order_line_id: arrival.order_line_id }
    commands.push({ name: 'add_part_return', args })
  }
  await enqueueAll(commands)
  return id
}

/** Records that an arrival was none; what was put on a shelf with it is taken off again. */
export async function undoArrival(row: PartArrival): Promise<void> {
  const { id: undoes_id, order_line_id, quantity, condition } = row
  const at = moment(Date.now())
  const undo = { id: newId(), undoes_id, order_line_id, quantity, condition, arrived_at: at }
  const commands: Command[] = [{ name: 'record_part_arrival', args: undo }]
  const put = shelvedWith(row)
  if (put) {
    const { catalog_part_id, place_id } = put
    const taken = { id: newId(), catalog_part_id, place_id, quantity: oppositeOf(quantity), moved_at: at }
    commands.push({ name: 'record_stock_move', args: { ...taken, reason: 'arrived' } })
  }
  await enqueueAll(commands)
}

/** The move to a shelf that was recorded together with an arrival. */
function shelvedWith({ order_line_id, arrived_at, quantity }: PartArrival): StockMove | undefined {
  const part = partOrderLine(order_line_id)?.catalog_part_id
  return part
    ? ownedBy('stock_move', 'catalog_part_id', part).find(
        (move) => move.reason === 'arrived' && move.moved_at === arrived_at && move.quantity === quantity,
      )
    : undefined
}
