import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime } from '../context'

export const replays: ReplaysOf<'bench'> = {
  record_check: (rows, args, context) =>
    addRow(rows, 'check', { ...args, checked_at: correctedTime(args.checked_at, context) }, context),
}
