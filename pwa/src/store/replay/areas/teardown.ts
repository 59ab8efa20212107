import type { CompleteArguments } from '../../../domain/contract'
import type { Moment } from '../../../domain/time'
import type { ReplayRows } from '../../rows/overlay'
import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime, editRow, type ReplayContext } from '../context'

export const replays: ReplaysOf<'teardown'> = {
  record_removal: (rows, { fasteners, ...args }, context) => {
    addRow(rows, 'removal_step', { ...args, taken_at: correctedTime(args.taken_at, context) }, context)
    for (const each of fasteners) addRow(rows, 'fastener', { ...each, step_id: args.id }, context)
  },
  remove_removal_step: (rows, { id }) => {
    const fasteners = rows.where('fastener', 'step_id', id)
    const used =
      rows.where('removal_step', 'behind_id', id).length > 0 ||
      rows.where('put_back_rule', 'before_id', id).length > 0 ||
      rows.where('put_back_rule', 'after_id', id).length > 0 ||
      fasteners.some(
        (each) =>
          rows.where('fastener_move', 'fastener_id', each.id).length > 0 ||
          rows.where('fastener_move', 'at_id', each.id).length > 0,
      )
    if (used) return
    for (const each of fasteners) rows.drop('fastener', each.id)
    rows.drop('removal_step', id)
  },
  put_step_back: (rows, { id, back_at, moves }, context) => {
    const step = rows.get('removal_step', id)
    if (!step) return
    const at = correctedTime(back_at, context)
    addMoves(rows, moves, at, context)
    if (step.back_at === null)
      editRow(rows, 'removal_step', id, { back_at: at, back_by_id: context.member_id }, context)
  },
  undo_put_back: (rows, { id, undone_at, moves }, context) => {
    if (!rows.get('removal_step', id)) return
    addMoves(rows, moves, correctedTime(undone_at, context), context)
    editRow(rows, 'removal_step', id, { back_at: null, back_by_id: null }, context)
  },
  record_fastener_move: (rows, args, context) =>
    addRow(rows, 'fastener_move', { ...args, moved_at: correctedTime(args.moved_at, context) }, context),
}

function addMoves(
  rows: ReplayRows,
  moves: CompleteArguments<'put_step_back'>['moves'],
  moved_at: Moment,
  context: ReplayContext,
): void {
  for (const each of moves) addRow(rows, 'fastener_move', { ...each, moved_at }, context)
}
