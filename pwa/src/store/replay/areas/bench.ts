import { siOf, verdictOf } from '../../../domain/bench/readings'
import type { Reading } from '../../../domain/contract'
import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime } from '../context'

export const replays: ReplaysOf<'bench'> = {
  record_reading: (rows, args, context) => {
    const machine_id = rows.get('job', args.job_id)?.machine_id ?? ''
    const taken_at = correctedTime(args.taken_at, context)
    const { gauge = null, limit = null } = args as Pick<Reading, 'gauge' | 'limit'>
    const measured = { ...args, gauge, limit }
    const worked = { machine_id, si: siOf(measured), verdict: verdictOf(measured) }
    addRow(rows, 'reading', { ...measured, ...worked, taken_at }, context)
  },
  record_check: (rows, args, context) =>
    addRow(rows, 'check', { ...args, checked_at: correctedTime(args.checked_at, context) }, context),
}
