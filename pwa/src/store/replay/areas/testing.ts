import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime } from '../context'

export const replays: ReplaysOf<'testing'> = {
  acknowledge_caution: (rows, args, context) =>
    addRow(rows, 'caution_seen', { ...args, seen_at: correctedTime(args.seen_at, context) }, context),
}
