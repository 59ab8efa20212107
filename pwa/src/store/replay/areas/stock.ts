import { differenceOf, levelOf, oppositeOf } from '../../../domain/parts/stock'
import type { ReplayRows } from '../../rows/overlay'
import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime, editRow, type ReplayContext } from '../context'
import { derivePartWaits } from '../waits'

export const replays: ReplaysOf<'stock'> = {
  record_stock_move: (rows, args, context) => {
    addRow(rows, 'stock_move', { ...args, moved_at: correctedTime(args.moved_at, context) }, context)
    settleShortage(rows, args, context)
  },
  count_stock: (rows, { counted, counted_at, ...args }, context) => {
    const moved_at = correctedTime(counted_at, context)
    const before = rows
      .where('stock_move', 'catalog_part_id', args.catalog_part_id)
      .filter((move) => move.place_id === args.place_id && Date.parse(move.moved_at) <= Date.parse(moved_at))
    const quantity = differenceOf(counted, levelOf(before))
    const found = { quantity, counted_level: counted, reason: 'counted' } as const
    addRow(rows, 'stock_move', { ...args, ...found, moved_at }, context)
    settleShortage(rows, args, context)
  },
  transfer_stock: (rows, args, context) => {
    const { id, arriving_id, catalog_part_id, from_place_id, to_place_id, quantity, note } = args
    const both = {
      catalog_part_id,
      reason: 'moved',
      moved_at: correctedTime(args.moved_at, context),
    } as const
    addRow(
      rows,
      'stock_move',
      { ...both, id, note, place_id: from_place_id, quantity: oppositeOf(quantity) },
      context,
    )
    settleShortage(rows, { catalog_part_id, place_id: from_place_id }, context)
    const arriving = { id: arriving_id, place_id: to_place_id, quantity, counterpart_id: id }
    addRow(rows, 'stock_move', { ...both, ...arriving }, context)
    settleShortage(rows, { catalog_part_id, place_id: to_place_id }, context)
  },
  fit_from_stock: (rows, { fitted_at: stamp, quantity, ...args }, context) => {
    const need = rows.get('part_need', args.need_id)
    if (!need) return
    const fitted_at = correctedTime(stamp, context)
    const move = { ...args, reason: 'fitted', quantity: oppositeOf(quantity), moved_at: fitted_at } as const
    addRow(rows, 'stock_move', move, context)
    settleShortage(rows, args, context)
    if (need.state === 'fitted') return
    editRow(rows, 'part_need', need.id, { state: 'fitted', fitted_at, used_from_id: args.place_id }, context)
    derivePartWaits(rows, need.job_id, context)
  },
}

/** The question of who took the last one is settled once there is none short. Twin: `_update_issue` of the server. */
function settleShortage(
  rows: ReplayRows,
  { catalog_part_id, place_id }: { catalog_part_id: string; place_id: string },
  context: ReplayContext,
): void {
  const moves = rows
    .where('stock_move', 'catalog_part_id', catalog_part_id)
    .filter((move) => move.place_id === place_id)
  if (levelOf(moves).startsWith('-')) return
  for (const { id, state, name, entity_id, ours } of rows.all('issue'))
    if (
      state === 'open' &&
      name === 'count_stock' &&
      entity_id === catalog_part_id &&
      ours['place_id'] === place_id
    )
      editRow(rows, 'issue', id, { state: 'resolved' }, context)
}
