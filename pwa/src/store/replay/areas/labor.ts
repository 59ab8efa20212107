import type { TimeEntry } from '../../../domain/contract'
import type { WorkDetails } from '../../../domain/labor/clock'
import { anomalyOf, entryState, isRunning, isSameEnd, overlap } from '../../../domain/labor/clock'
import { isSameMoment, type Moment } from '../../../domain/time'
import type { ReplayRows } from '../../rows/overlay'
import type { ReplaysOf } from '../commandAreas'
import { correctedTime, editRow, newRow, type ReplayContext } from '../context'

const commands: ReplaysOf<'labor'> = {
  start_clock: (rows, { ends_ids, started_at, ...work }, context) => {
    // An entry that the server has is not created again.
    if (rows.get('time_entry', work.id)) return
    const began = correctedTime(started_at, context)
    const named = new Set(ends_ids.map((id) => living(rows, id)?.id))
    for (const entry of rows.where('time_entry', 'member_id', context.member_id)) {
      const own = entry.device_id === context.device_id && Date.parse(entry.started_at) < Date.parse(began)
      if (isRunning(entry) && (own || named.has(entry.id))) end(rows, entry, started_at, context)
    }
    put(rows, work.id, context, {
      ...fieldsOf(work),
      member_id: context.member_id,
      device_id: context.device_id,
      started_at: began,
      ended_at: null,
      device_started_at: started_at,
      start_skew_ms: context.ahead_ms,
      anomaly: anomalyOf(began, null, Date.parse(context.at) - context.ahead_ms),
    })
  },
  stop_clock: (rows, args, context) => {
    const entry = living(rows, args.id)
    if (!entry || entry.state === 'replaced') return
    if (isRunning(entry)) return end(rows, entry, args.ended_at, context)
    const at = correctedTime(args.ended_at, context)
    if (isSameEnd(entry.ended_at, at) || Date.parse(at) <= Date.parse(entry.started_at)) return
    // Two phones sent different ends of one clock: the second is stored as an entry beside the first.
    const { id, device_ended_at, end_skew_ms, reason, corrects_id, created_at, changed_at, ...rest } = entry
    put(rows, context.command_id, context, {
      ...rest,
      device_id: context.device_id,
      ...endedBy({ ...rest, anomaly: '' }, args.ended_at, context),
    })
  },
  add_entry: (rows, { member_id, started_at, ended_at, reason, ...work }, context) =>
    put(rows, work.id, context, {
      ...fieldsOf(work),
      member_id: member_id ?? context.member_id,
      started_at,
      ended_at,
      reason,
    }),
  correct_entry: (rows, { entry_id, reason, ...args }, context) => {
    const old = rows.get('time_entry', entry_id)
    if (!old || old.state === 'replaced' || rows.get('time_entry', args.id)) return
    // A phone without a stamp's correction sends the stamp itself: that counts as unchanged.
    const started_at = isSameMoment(args.started_at, old.device_started_at) ? old.started_at : args.started_at
    const ended_at =
      old.ended_at !== null && isSameMoment(args.ended_at, old.device_ended_at) ? old.ended_at : args.ended_at
    replaceBy(rows, old, context)
    put(rows, args.id, context, { ...successor(old, started_at, ended_at, reason), ...fieldsOf(args) })
  },
  drop_entry: (rows, args, context) => {
    const entry = rows.get('time_entry', args.id)
    if (!entry || entry.state === 'replaced') return
    const reason = entry.reason ? `${entry.reason}; taken out: ${args.reason}` : args.reason
    replaceBy(rows, { ...entry, reason }, context)
  },
  settle_entries: (rows, { id, other_id, split, reason }, context) => {
    const entry = rows.get('time_entry', id)
    if (!entry || entry.state === 'replaced') return
    if (other_id === null) {
      // An entry without an end, or one that only overlaps another, cannot be settled by keeping it.
      if (entry.anomaly !== '' && entry.anomaly !== 'ends_first')
        recomputeStates(rows, { ...entry, anomaly: '' }, context)
      return
    }
    const other = rows.get('time_entry', other_id)
    if (!other || other.state === 'replaced' || other.id === id || !overlap(entry, other)) return
    if (split) return splitAt(rows, entry, other, { ...split, reason }, context)
    replaceBy(rows, other, context)
    recomputeStates(rows, { ...entry, anomaly: '' }, context)
  },
}

/** Closes issues about entries that are no longer disputed. */
function resolveIssues(rows: ReplayRows, context: ReplayContext): void {
  for (const issue of rows.all('issue')) {
    const { id, entity_kind, entity_id, state } = issue
    if (state !== 'open' || entity_kind !== 'time_entry' || entity_id === null) continue
    const about = rows.get('time_entry', entity_id)
    if (about && about.state !== 'disputed') editRow(rows, 'issue', id, { state: 'resolved' }, context)
  }
}

function thenResolving<Args>(
  run: (rows: ReplayRows, args: Args, context: ReplayContext) => void,
): typeof run {
  return (rows, args, context) => {
    run(rows, args, context)
    resolveIssues(rows, context)
  }
}

export const replays: ReplaysOf<'labor'> = {
  start_clock: thenResolving(commands.start_clock),
  stop_clock: thenResolving(commands.stop_clock),
  add_entry: thenResolving(commands.add_entry),
  correct_entry: thenResolving(commands.correct_entry),
  drop_entry: thenResolving(commands.drop_entry),
  settle_entries: thenResolving(commands.settle_entries),
}

type EntrySplit = { at: Moment; id: string; other_id: string; reason: string }

/** The earlier entry ends at the given time, the other starts then. */
function splitAt(
  rows: ReplayRows,
  entry: TimeEntry,
  other: TimeEntry,
  split: EntrySplit,
  context: ReplayContext,
): void {
  const entryFirst = Date.parse(entry.started_at) <= Date.parse(other.started_at)
  const [first, second] = entryFirst ? [entry, other] : [other, entry]
  const [first_id, second_id] = entryFirst ? [split.id, split.other_id] : [split.other_id, split.id]
  replaceBy(rows, entry, context)
  replaceBy(rows, other, context)
  put(rows, first_id, context, successor(first, first.started_at, split.at, split.reason))
  put(rows, second_id, context, successor(second, split.at, second.ended_at, split.reason))
}

/**
 * The successor of an entry; unchanged times keep the device's stamp. Twin: `_make_successor` in
 * `shopapi/labor/services/corrections.py`.
 */
function successor(old: TimeEntry, started_at: Moment, ended_at: Moment | null, reason: string): EntryFields {
  const { member_id, device_id, job_id, kind, operation, line_id, cause, repairs_id } = old
  const { device_started_at, start_skew_ms, device_ended_at, end_skew_ms } = old
  return {
    ...{ member_id, device_id, job_id, kind, operation, line_id, cause, repairs_id },
    ...(isSameMoment(started_at, old.started_at) && { device_started_at, start_skew_ms }),
    ...(ended_at !== null && isSameMoment(ended_at, old.ended_at) && { device_ended_at, end_skew_ms }),
    ...{ started_at, ended_at, reason, corrects_id: old.id },
  }
}

/** The successor of an entry, if there is one. */
function living(rows: ReplayRows, id: string): TimeEntry | undefined {
  const entry = rows.get('time_entry', id)
  if (entry?.state !== 'replaced') return entry
  const follower = rows
    .where('time_entry', 'member_id', entry.member_id)
    .find((found) => found.corrects_id === id)
  return follower && living(rows, follower.id)
}

function end(rows: ReplayRows, entry: TimeEntry, stamp: Moment, context: ReplayContext): void {
  recomputeStates(rows, { ...entry, ...endedBy(entry, stamp, context) }, context)
}

/** The end of an entry by a stamp; an end before the start is stored as a stamp only. */
function endedBy(
  { started_at, anomaly }: Pick<TimeEntry, 'started_at' | 'anomaly'>,
  stamp: Moment,
  context: ReplayContext,
) {
  const at = correctedTime(stamp, context)
  const found = anomalyOf(started_at, at, Date.parse(context.at) - context.ahead_ms)
  return {
    ended_at: found === 'ends_first' ? null : at,
    device_ended_at: stamp,
    end_skew_ms: context.ahead_ms,
    anomaly: found || (anomaly === 'clock_set' ? anomaly : ''),
  } as const
}

/** The columns that say what the time was for. */
function fieldsOf({ kind, job_id, operation, line_id, cause, repairs_id }: WorkDetails) {
  return { kind, job_id, operation, line_id, cause: cause ?? '', repairs_id } as const
}

type EntryFields = Omit<Partial<TimeEntry>, 'id'> & Pick<TimeEntry, 'member_id' | 'started_at' | 'ended_at'>

/** Adds an entry of a member, unless it is here already. */
function put(rows: ReplayRows, id: string, context: ReplayContext, fields: EntryFields): void {
  if (rows.get('time_entry', id)) return
  recomputeStates(rows, newRow(rows, 'time_entry', { ...fields, id }, context), context)
}

function replaceBy(rows: ReplayRows, entry: TimeEntry, context: ReplayContext): void {
  recomputeStates(rows, { ...entry, state: 'replaced' }, context)
}

/** Recomputes the states of an entry and of the member's entries that it overlaps or overlapped. */
function recomputeStates(rows: ReplayRows, entry: TimeEntry, context: ReplayContext): void {
  const before = rows.get('time_entry', entry.id)
  const others = rows
    .where('time_entry', 'member_id', entry.member_id)
    .filter((other) => other.id !== entry.id && other.state !== 'replaced')
  const live = entry.state === 'replaced' ? others : [entry, ...others]
  for (const other of others) {
    if (!overlap(entry, other) && !(before && overlap(before, other))) continue
    const state = entryState(other, live)
    if (state !== other.state) rows.put('time_entry', { ...other, state, changed_at: context.at })
  }
  const state = entry.state === 'replaced' ? 'replaced' : entryState(entry, live)
  rows.put('time_entry', { ...entry, state, changed_at: context.at })
}
