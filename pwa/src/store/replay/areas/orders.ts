import type { OrderBy, PartOrder, PartOrderLine } from '../../../domain/contract'
import {
  countedArrivals,
  followsItsOrder,
  goodOf,
  isOpen,
  type LineStatus,
  needStateFor,
  orderStateAfter,
} from '../../../domain/parts/orders'
import { returnStateWhenRefunded } from '../../../domain/parts/returns'
import { orderMayBecome, returnMayBecome } from '../../../domain/states'
import type { Moment } from '../../../domain/time'
import type { ReplayRows } from '../../rows/overlay'
import { noteAboveAgreed } from '../agreedPrice'
import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime, editRow, type ReplayContext, settingFields } from '../context'
import { derivePartWaits } from '../waits'

export const replays: ReplaysOf<'orders'> = {
  note_part_order_sent: (rows, { id, how, sent_at }, context) => markSent(rows, id, how, sent_at, context),
  mail_part_order: (rows, { id, sent_at }, context) => markSent(rows, id, 'mail', sent_at, context),
  answer_part_order_line: (rows, { id, answer, promised_on, cost_minor }, context) => {
    const line = rows.get('part_order_line', id)
    if (!line) return
    const set = { answer, promised_on, cost_minor: cost_minor ?? line.cost_minor }
    editRow(rows, 'part_order_line', id, set, context)
    followLines(rows, line.order_id, context)
  },
  cancel_part_order: (rows, { id }, context) => {
    const order = rows.get('part_order', id)
    const came = linesOf(rows, id).some((line) => countedArrivals(arrivalsOf(rows, line)).length > 0)
    if (!order || !orderMayBecome(order.state, 'cancelled') || came) return
    editRow(rows, 'part_order', id, { state: 'cancelled' }, context)
    followLines(rows, id, context)
  },
  close_part_order: (rows, { id }, context) => {
    const order = rows.get('part_order', id)
    if (!order || !isUnderWay(order)) return
    for (const line of linesOf(rows, id))
      if (isOpen(statusOf(rows, line)))
        editRow(rows, 'part_order_line', line.id, { answer: 'dropped' }, context)
    followLines(rows, id, context)
  },
  print_part_order: settingFields('part_order', () => ({ pdf_state: 'waiting', pdf_reason: '' })),
  record_part_arrival: (rows, args, context) => {
    const line = rows.get('part_order_line', args.order_line_id)
    addRow(rows, 'part_arrival', { ...args, arrived_at: correctedTime(args.arrived_at, context) }, context)
    if (!line) return
    const { cost_minor } = args
    if (cost_minor !== null && args.undoes_id === null && args.condition === 'good') {
      if (line.need_id) {
        setCost(rows, 'part_need', line.need_id, cost_minor, context)
        noteAboveAgreed(rows, line.need_id, context)
      }
      if (line.catalog_part_id) setCost(rows, 'catalog_part', line.catalog_part_id, cost_minor, context)
    }
    followLines(rows, line.order_id, context)
  },
  send_part_return: (rows, { id, sent_on }, context) => {
    const row = rows.get('part_return', id)
    if (!row || (row.sent_on !== null && row.state !== 'refused')) return
    const state = returnMayBecome(row.state, 'sent') ? 'sent' : row.state
    editRow(rows, 'part_return', id, { sent_on, state }, context)
    const need = row.need_id ? rows.get('part_need', row.need_id) : undefined
    if (row.reason !== 'not_needed' || need?.state !== 'arrived') return
    editRow(rows, 'part_need', need.id, { state: 'sent_back' }, context)
    derivePartWaits(rows, need.job_id, context)
  },
  refund_part_return: (rows, { id, amount_minor, refunded_on, rest_lost }, context) => {
    const row = rows.get('part_return', id)
    const refunded_minor = (row?.refunded_minor ?? 0) + amount_minor
    if (!row || refunded_minor < 0 || (amount_minor === 0 && !rest_lost)) return
    const state = returnStateWhenRefunded(row.state, row.expected_minor, refunded_minor, {
      wasSent: row.sent_on !== null,
      restLost: rest_lost,
    })
    editRow(rows, 'part_return', id, { state, refunded_minor, refunded_on }, context)
  },
  refuse_part_return: (rows, { id, note }, context) => {
    const row = rows.get('part_return', id)
    if (!row || !returnMayBecome(row.state, 'refused')) return
    editRow(rows, 'part_return', id, { state: 'refused', note: note || row.note }, context)
  },
}

function markSent(
  rows: ReplayRows,
  id: string,
  sent_how: OrderBy,
  sent_at: Moment,
  context: ReplayContext,
): void {
  if (rows.get('part_order', id)?.state !== 'draft') return
  editRow(
    rows,
    'part_order',
    id,
    { state: 'sent', sent_how, sent_at: correctedTime(sent_at, context) },
    context,
  )
  followLines(rows, id, context)
}

const isUnderWay = ({ state }: PartOrder) => state === 'sent' || state === 'confirmed'

const linesOf = (rows: ReplayRows, order_id: string) => rows.where('part_order_line', 'order_id', order_id)

const arrivalsOf = (rows: ReplayRows, { id }: PartOrderLine) =>
  rows.where('part_arrival', 'order_line_id', id)

function statusOf(rows: ReplayRows, line: PartOrderLine): LineStatus {
  return { quantity: line.quantity, answer: line.answer, good: goodOf(arrivalsOf(rows, line)) }
}

function setCost(
  rows: ReplayRows,
  kind: 'part_need' | 'catalog_part',
  id: string,
  cost_minor: number,
  context: ReplayContext,
): void {
  if (rows.get(kind, id)?.cost_minor !== cost_minor) editRow(rows, kind, id, { cost_minor }, context)
}

/** Derives the state of an order and of the needs on it from its lines. Twin: `follow_lines`. */
function followLines(rows: ReplayRows, order_id: string, context: ReplayContext): void {
  const order = rows.get('part_order', order_id)
  if (!order) return
  const lines = linesOf(rows, order_id).map((line) => ({ line, status: statusOf(rows, line) }))
  const state = orderStateAfter(
    order.state,
    lines.map(({ status }) => status),
  )
  if (state !== order.state) editRow(rows, 'part_order', order_id, { state }, context)
  for (const { line, status } of lines) {
    const need = line.need_id ? rows.get('part_need', line.need_id) : undefined
    const wanted = needStateFor(state, status)
    if (!need || !followsItsOrder(need.state) || need.state === wanted) continue
    editRow(rows, 'part_need', need.id, { state: wanted }, context)
    derivePartWaits(rows, need.job_id, context)
  }
}
