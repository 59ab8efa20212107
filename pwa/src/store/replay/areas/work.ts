import { canonicalize, type Json } from '../../../domain/canonicalJson'
import type { CompleteArguments, Issue, Limit } from '../../../domain/contract'
import {
  disclosedItem,
  finishes,
  isRepaired,
  itemWords,
  openSafety,
  resumedWorkAfter,
  startsTesting,
} from '../../../domain/jobs/safety'
import { isKind } from '../../../domain/kinds'
import { mayMove } from '../../../domain/states'
import { ledgerOf } from '../../rows/benchRows'
import type { ReplayRows } from '../../rows/overlay'
import { compare } from '../../rows/selectors'
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
    if (startsTesting(job.stage, stage) && ledgerOf(rows, id).torqueOpen.length > 0) return
    const at = correctedTime(context.at, context)
    const resumed_work = resumedWorkAfter(job.resumed_work ?? [], [job.stage, stage], at)
    editRow(rows, 'job', id, { stage, resumed_work }, context)
    if (job.stage === 'ready') withholdUnsent(rows, id, ['machine_ready'], context)
  },
  acknowledge_finding: (rows, args, context) => {
    const acknowledged_at = correctedTime(args.acknowledged_at, context)
    const left = rows.where('safety_item', 'finding_id', args.finding_id).filter(({ repaired }) => !repaired)
    const items = args.items ?? left.sort((a, b) => compare(a.id, b.id)).map(disclosedItem)
    addRow(rows, 'safety_acknowledgement', { ...args, items, acknowledged_at }, context)
    if (rows.get('finding', args.finding_id)?.decided === 'open')
      editRow(rows, 'finding', args.finding_id, { decided: 'declined' }, context)
  },
  record_safety_item: (rows, { words, again_of_id, ...args }, context) => {
    const { id, job_id, protection_lost: consequence } = args
    const finding_id = args.finding_id ?? id
    if (args.finding_id === null) {
      const text = words || itemWords(args.device, args.condition)
      addRow(rows, 'finding', { id, job_id, words: text, consequence, rank: 'safety', again_of_id }, context)
    }
    const machine_id = rows.get('job', job_id)?.machine_id ?? ''
    addRow(rows, 'safety_item', { ...args, finding_id, machine_id }, context)
  },
  note_part_search: (rows, args, context) => notePartSearch(rows, args, context),
  repair_safety_item: (rows, args, context) => addTrial(rows, args, true, context),
  reopen_safety_item: (rows, args, context) => addTrial(rows, args, false, context),
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

/** Keeps where the part for a safety item was asked for. */
export function notePartSearch(
  rows: ReplayRows,
  { id, where, answer, asked_at }: CompleteArguments<'note_part_search'>,
  context: ReplayContext,
): void {
  const item = rows.get('safety_item', id)
  if (!item) return
  const asked = { where, answer, asked_at: correctedTime(asked_at, context), member_id: context.member_id }
  editRow(rows, 'safety_item', id, { part_search: [...item.part_search, asked] }, context)
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

function hasOpenSafety(rows: ReplayRows, job_id: string): boolean {
  const noBypass = rows.all('shop')[0]?.no_bypass
  return rows
    .where('finding', 'job_id', job_id)
    .some((finding) =>
      openSafety(
        finding,
        rows.where('safety_acknowledgement', 'finding_id', finding.id),
        rows.where('safety_item', 'finding_id', finding.id),
        noBypass,
      ),
    )
}

function addTrial(
  rows: ReplayRows,
  { id, tried_at, tries, seen }: CompleteArguments<'repair_safety_item'>,
  works: boolean,
  context: ReplayContext,
): void {
  const item = rows.get('safety_item', id)
  if (!item) return
  const trial = {
    works,
    tried_at: correctedTime(tried_at, context),
    tries,
    seen,
    member_id: context.member_id,
  }
  const trials = [...item.trials, trial]
  editRow(rows, 'safety_item', id, { trials, repaired: isRepaired(trials) }, context)
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
  const unchanged = ([field]: [string, unknown]) => text(row[field]) === text(theirs[field])
  const set = Object.fromEntries(Object.entries(ours).filter(unchanged))
  const changed = Object.keys(set).some((field) => text(row[field]) !== text(set[field]))
  if (entity_kind === 'limit') editLimit(rows, entity_id, set, changed, context)
  else editRow(rows, entity_kind, entity_id, set, context)
}
