import { canonicalize, type Json } from '../../../domain/canonicalJson'
import type { Issue, Limit } from '../../../domain/contract'
import { finishes, openSafety } from '../../../domain/jobs/safety'
import { isKind } from '../../../domain/kinds'
import { mayMove } from '../../../domain/states'
import type { ReplayRows } from '../../rows/overlay'
import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime, editRow, type ReplayContext, withholdUnsent } from '../context'

export const replays: ReplaysOf<'work'> = {
  record_meter: (rows, { new_segment, ...args }, context) => {
    const known = rows.get('meter_reading', args.id)?.segment
    const before = rows
      .where('meter_reading', 'machine_id', args.machine_id)
      .reduce((most, reading) => Math.max(most, reading.segment), 0)
    const segment = known ?? Math.max(1, new_segment ? before + 1 : before)
    addRow(rows, 'meter_reading', { ...args, segment }, context)
  },
  // A field that somebody else has changed meanwhile is not written.
  edit_limit: (rows, { id, base, set }, context) => {
    const row: Readonly<Record<string, unknown>> = { ...rows.get('limit', id) }
    const fields = set as Readonly<Record<string, unknown>>
    const seen = base as Readonly<Record<string, unknown>>
    const written = Object.keys(set).some((name) => fields[name] !== row[name] && row[name] === seen[name])
    editLimit(rows, id, set, written, context)
  },
  move_job: (rows, { id, stage }, context) => {
    const job = rows.get('job', id)
    if (!job || !mayMove(job.stage, stage)) return
    if (finishes(job.stage, stage) && hasOpenSafety(rows, id)) return
    editRow(rows, 'job', id, { stage }, context)
    if (job.stage === 'ready') withholdUnsent(rows, id, ['machine_ready'], context)
  },
  acknowledge_finding: (rows, args, context) => {
    const acknowledged_at = correctedTime(args.acknowledged_at, context)
    addRow(rows, 'safety_acknowledgement', { ...args, acknowledged_at }, context)
    if (rows.get('finding', args.finding_id)?.decided === 'open')
      editRow(rows, 'finding', args.finding_id, { decided: 'declined' }, context)
  },
  record_intake_terms: (rows, args, context) =>
    addRow(rows, 'intake_terms', { ...args, accepted_at: correctedTime(args.accepted_at, context) }, context),
  settle_issue: (rows, args, context) => {
    const issue = rows.get('issue', args.id)
    // The server refuses a second settlement and says who made the first.
    if (!issue || issue.state === 'resolved') return
    if (args.choice === 'ours' && issue.kind === 'conflict') takeOurs(rows, issue, context)
    editRow(rows, 'issue', args.id, { state: 'resolved', choice: args.choice }, context)
  },
}

/** Changes a limit; one that is `changed` gets the next version. */
function editLimit(
  rows: ReplayRows,
  id: string,
  set: Partial<Limit>,
  changed: boolean,
  context: ReplayContext,
): void {
  const version = (rows.get('limit', id)?.version ?? 0) + (changed ? 1 : 0)
  editRow(rows, 'limit', id, { ...set, version }, context)
}

const hasOpenSafety = (rows: ReplayRows, job_id: string): boolean =>
  rows.where('finding', 'job_id', job_id).some((finding) =>
    openSafety(
      finding,
      rows
        .where('safety_acknowledgement', 'finding_id', finding.id)
        .map(({ finding_words }) => finding_words),
    ),
  )

/** Replaces the values in conflict; one that has changed again since stays, and opens a new conflict. */
function takeOurs(
  rows: ReplayRows,
  { entity_kind, entity_id, ours, theirs }: Issue,
  context: ReplayContext,
): void {
  if (!isKind(entity_kind) || entity_id === null) return
  const row: Readonly<Record<string, unknown>> = { ...rows.get(entity_kind, entity_id) }
  const text = (value: unknown) => canonicalize((value ?? null) as Json)
  const unchanged = ([field]: [string, unknown]) => text(row[field]) === text(theirs[field])
  const set = Object.fromEntries(Object.entries(ours).filter(unchanged))
  const changed = Object.keys(set).some((field) => text(row[field]) !== text(set[field]))
  if (entity_kind === 'limit') editLimit(rows, entity_id, set, changed, context)
  else editRow(rows, entity_kind, entity_id, set, context)
}
