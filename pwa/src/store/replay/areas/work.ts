import { canonicalize, type Json } from '../../../domain/canonicalJson'
import type { Issue } from '../../../domain/contract'
import { isKind } from '../../../domain/kinds'
import { mayMove } from '../../../domain/states'
import type { ReplayRows } from '../../rows/overlay'
import type { ReplaysOf } from '../commandAreas'
import { addRow, editRow, type ReplayContext } from '../context'

export const replays: ReplaysOf<'work'> = {
  record_meter: (rows, { new_segment, ...args }, context) => {
    const known = rows.get('meter_reading', args.id)?.segment
    const before = rows
      .where('meter_reading', 'machine_id', args.machine_id)
      .reduce((most, reading) => Math.max(most, reading.segment), 0)
    const segment = known ?? Math.max(1, new_segment ? before + 1 : before)
    addRow(rows, 'meter_reading', { ...args, segment }, context)
  },
  move_job: (rows, { id, stage }, context) => {
    const job = rows.get('job', id)
    if (job && mayMove(job.stage, stage)) editRow(rows, 'job', id, { stage }, context)
  },
  settle_issue: (rows, args, context) => {
    const issue = rows.get('issue', args.id)
    // The server refuses a second settlement and says who made the first.
    if (!issue || issue.state === 'resolved') return
    if (args.choice === 'ours' && issue.kind === 'conflict') takeOurs(rows, issue, context)
    editRow(rows, 'issue', args.id, { state: 'resolved', choice: args.choice }, context)
  },
}

/** Replaces the values in conflict; one that has changed again since stays, and opens a new conflict. */
function takeOurs(
  rows: ReplayRows,
  { entity_kind, entity_id, ours, theirs }: Issue,
  context: ReplayContext,
): void {
  if (!isKind(entity_kind) || entity_id === null) return
  const row: Readonly<Record<string, unknown>> = { ...rows.get(entity_kind, entity_id) }
  const text = (value: unknown) => canonicalize((value ?? null) as Json)
  const stands = ([field]: [string, unknown]) => text(row[field]) === text(theirs[field])
  editRow(rows, entity_kind, entity_id, Object.fromEntries(Object.entries(ours).filter(stands)), context)
}
