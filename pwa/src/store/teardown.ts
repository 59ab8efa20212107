import { parseSize, showSize } from '../domain/bench/fastenerSize'
import { type KnownRule, knownRules } from '../domain/bench/knownOrder'
import { sizeKey } from '../domain/bench/ledger'
import { type PutBackOrder, putBackOrder } from '../domain/bench/putBack'
import { opposites } from '../domain/bench/putBackMoves'
import type {
  Command,
  Commands,
  Fastener,
  FastenerMove,
  NewFastener,
  PutBackRule,
  RemovalStep,
  StepMove,
} from '../domain/contract'
import { matchSheets } from '../domain/machines/sheetMatching'
import { moment } from '../domain/time'
import { newId } from './browser/clock'
import type { PendingUpload } from './database/shopDatabase'
import { job } from './jobs'
import { machine } from './machines'
import { attachCommands } from './pictures/attachments'
import { enqueueWithPictures } from './pictures/enqueueWithPictures'
import { type Changes, type NewRowFields, sendAdd, sendEdit, sendRemove } from './queue/commands'
import { enqueue } from './queue/outbox'
import { type BenchRows, benchRowsOf, byPosition } from './rows/benchRows'
import { allOf, byAge, byId, ownedBy } from './rows/selectors'

export const removalStep = (id: string) => byId('removal_step', id)
export const fastener = (id: string) => byId('fastener', id)
/** The steps of a job as they were taken apart. */
export const removalStepsOf = (job_id: string) => ownedBy('removal_step', 'job_id', job_id).sort(byPosition)
export const fastenersOf = (step_id: string) => ownedBy('fastener', 'step_id', step_id).sort(byAge)
export const movesOf = (fastener_id: string) =>
  ownedBy('fastener_move', 'fastener_id', fastener_id).sort(byAge)
export const putBackRulesOf = (job_id: string) => ownedBy('put_back_rule', 'job_id', job_id).sort(byAge)

/** Everything that was taken apart on a job. */
export const teardownOf = (job_id: string): BenchRows => benchRowsOf(ownedBy, job_id)

/** The order of putting a job's machine back together. */
export function putBackOf({ steps, fasteners }: BenchRows, rules: readonly PutBackRule[]): PutBackOrder {
  const hidden = new Set(fasteners.filter((row) => row.hidden).map(({ step_id }) => step_id))
  return putBackOrder(
    steps.map(({ id, kind, behind_id }) => ({ id, kind, behind_id, hidden: hidden.has(id) })),
    rules.map(({ before_id, after_id }) => [before_id, after_id]),
  )
}

/** Rules about a job's steps that the sheets of its machine, or of machines like it, know from earlier jobs. */
export function knownRulesOf(job_id: string): KnownRule[] {
  const of = machine(job(job_id)?.machine_id ?? '')
  if (!of) return []
  const sheets = allOf('sheet').filter((sheet) => !sheet.archived)
  const entries = matchSheets(of, sheets)
    .filter(({ fit }) => fit === 'own' || fit === 'family')
    .flatMap(({ sheet }) => ownedBy('sheet_entry', 'sheet_id', sheet.id))
  return knownRules(entries, removalStepsOf(job_id), putBackRulesOf(job_id))
}

/** What the next step gets by itself: its place in the order, and the number of its bag. */
export function nextOf(steps: readonly RemovalStep[]): { position: number; bag: number } {
  const after = (field: 'position' | 'bag', from: number) =>
    steps.reduce((most, step) => Math.max(most, (step[field] ?? 0) + 1), from)
  return { position: after('position', 0), bag: after('bag', 1) }
}

/** Common sizes, offered where the shop has recorded none yet. */
const USUAL_SIZES = ['M6 × 16', 'M6 × 20', 'M8 × 25', '1/4-20 × 3/4', '5/16-18 × 1']
const MOST_SIZES = 6

/** Sizes to pick from: those of the job first, then the newest of other jobs, then common ones. */
export function offeredSizes(job_id: string): string[] {
  const own = teardownOf(job_id).fasteners.toReversed()
  const known = new Map<string, string>()
  const offer = (rows: readonly Pick<Fastener, 'thread' | 'length'>[]) => {
    for (const row of rows) {
      const key = sizeKey({ ...row, grade: '', head: '' })
      if (known.size < MOST_SIZES && !known.has(key)) known.set(key, showSize(row))
    }
  }
  offer(own)
  offer(allOf('fastener').sort(byAge).reverse())
  offer(USUAL_SIZES.flatMap((size) => parseSize(size) ?? []))
  return [...known.values()]
}

/** Records a step with its fasteners and the pictures of its form in one transaction. */
export async function recordRemoval(
  step: Omit<Commands['record_removal'], 'id' | 'taken_at' | 'fasteners'>,
  fasteners: readonly Omit<NewFastener, 'id'>[],
  kept: readonly PendingUpload[],
): Promise<string> {
  const id = newId()
  const record: Command = {
    name: 'record_removal',
    args: {
      id,
      ...step,
      taken_at: moment(Date.now()),
      fasteners: fasteners.map((each) => ({ id: newId(), ...each })),
    },
  }
  await enqueueWithPictures([record, ...attachCommands(kept, 'removal_step', id)], kept)
  return id
}

export const editRemovalStep = (seen: RemovalStep, wanted: Changes<'edit_removal_step'>) =>
  sendEdit('edit_removal_step', seen, wanted)
export const removeRemovalStep = (id: string) => sendRemove('remove_removal_step', id)

/** Puts a step back; returns how to undo it. */
export async function putStepBack(id: string, moves: StepMove[]): Promise<() => Promise<unknown>> {
  await enqueue('put_step_back', { id, back_at: moment(Date.now()), moves })
  return () => undoPutBack(id, moves)
}

export const undoPutBack = (id: string, moves: readonly StepMove[]) =>
  enqueue('undo_put_back', { id, undone_at: moment(Date.now()), moves: opposites(moves, newId) })

/** What went back with a step and was not cancelled, to be cancelled later. */
export const standingMoves = (step_id: string): StepMove[] =>
  fastenersOf(step_id).flatMap((row) => {
    const sums = new Map<FastenerMove['kind'], number>()
    for (const { kind, count, at_id } of movesOf(row.id))
      if (at_id === null && (kind === 'back' || kind === 'new' || kind === 'replaced'))
        sums.set(kind, (sums.get(kind) ?? 0) + count)
    return [...sums].flatMap(([kind, count]) =>
      count > 0 ? [{ id: newId(), fastener_id: row.id, kind, count }] : [],
    )
  })

export const recordFastener = (fields: NewRowFields<'record_fastener'>) => sendAdd('record_fastener', fields)
export const editFastener = (seen: Fastener, wanted: Changes<'edit_fastener'>) =>
  sendEdit('edit_fastener', seen, wanted, ['torque', 'torque_unit'])
export const removeFastener = (id: string) => sendRemove('remove_fastener', id)

/** Records what became of fasteners; returns how to undo it. */
export async function recordMove(
  fields: Omit<NewRowFields<'record_fastener_move'>, 'moved_at'>,
): Promise<() => Promise<unknown>> {
  await sendAdd('record_fastener_move', { ...fields, moved_at: moment(Date.now()) })
  return () =>
    sendAdd('record_fastener_move', { ...fields, count: -fields.count, moved_at: moment(Date.now()) })
}

export const addPutBackRule = (fields: NewRowFields<'add_put_back_rule'>) =>
  sendAdd('add_put_back_rule', fields)
export const removePutBackRule = (id: string) => sendRemove('remove_put_back_rule', id)
