import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime } from '../context'

export const replays: ReplaysOf<'testing'> = {
  acknowledge_caution: (rows, args, context) =>
    addRow(rows, 'caution_seen', { ...args, seen_at: correctedTime(args.seen_at, context) }, context),
  record_run_test: (rows, args, context) =>
    addRow(rows, 'run_test', { ...args, tested_at: correctedTime(args.tested_at, context) }, context),
}
