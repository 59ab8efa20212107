import { answerWithAlternative } from '../../../domain/parts/needs'
import { partMayBecome } from '../../../domain/states'
import { noteAboveAgreed } from '../agreedPrice'
import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime, editRow } from '../context'
import { derivePartWaits } from '../waits'
import { notePartSearch } from './work'

export const replays: ReplaysOf<'parts'> = {
  add_part_need: (rows, args, context) => {
    addRow(rows, 'part_need', args, context)
    derivePartWaits(rows, args.job_id, context)
  },
  edit_part_need: (rows, { id, set }, context) => {
    editRow(rows, 'part_need', id, set, context)
    if ('cost_minor' in set || 'price_minor' in set) noteAboveAgreed(rows, id, context)
  },
  move_part_need: (rows, { id, state }, context) => {
    const need = rows.get('part_need', id)
    if (!need || state === 'fitted' || !partMayBecome(need.state, state)) return
    const used_from_id = need.state === 'fitted' ? null : need.used_from_id
    editRow(rows, 'part_need', id, { state, fitted_at: null, used_from_id }, context)
    derivePartWaits(rows, need.job_id, context)
  },
  fit_part: (rows, args, context) => {
    const need = rows.get('part_need', args.id)
    if (!need || need.state === 'fitted') return
    const fitted_at = correctedTime(args.fitted_at, context)
    editRow(rows, 'part_need', args.id, { state: 'fitted', fitted_at }, context)
    derivePartWaits(rows, need.job_id, context)
  },
  remove_part_need: (rows, { id }, context) => {
    const need = rows.get('part_need', id)
    const used = (['part_search', 'part_order_line', 'part_return', 'stock_move'] as const).some(
      (kind) => rows.where(kind, 'need_id', id).length > 0,
    )
    if (!need || used || (need.state !== 'wanted' && need.state !== 'cancelled')) return
    rows.drop('part_need', id)
    derivePartWaits(rows, need.job_id, context)
  },
  record_part_search: (rows, args, context) => {
    addRow(rows, 'part_search', { ...args, asked_at: correctedTime(args.asked_at, context) }, context)
    const finding_id = rows.get('part_need', args.need_id)?.finding_id
    if (!finding_id) return
    const answer = answerWithAlternative(args.answer, args.alternative)
    for (const { id, repaired } of rows.where('safety_item', 'finding_id', finding_id))
      if (!repaired) notePartSearch(rows, { id, where: args.asked, answer, asked_at: args.asked_at }, context)
  },
}
