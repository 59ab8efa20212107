import { computed } from '@preact/signals'
import { isRunning, OF_A_JOB, overlap, type Span } from '../domain/clock'
import type { Command, Work } from '../domain/commands'
import type { QuoteLine, Stage, TimeEntry } from '../domain/rows'
import { type Moment, moment } from '../domain/time'
import { newId } from './clock'
import { job } from './jobs'
import { opened } from './opened'
import { enqueue, enqueueAll } from './outbox'
import { agreedLabor } from './quotes'
import { compare, of, one } from './shown'

export const entry = (id: string) => one('time_entry', id)

const byStart = (a: TimeEntry, b: TimeEntry) => compare(a.started_at, b.started_at) || compare(a.id, b.id)

/** Whether an entry was clocked on this phone. */
export const isOfThisPhone = (row: TimeEntry) => row.device_id === opened.value?.standing.value.device.id

/** A member's entries that count or must be settled, oldest first. */
export const entriesOf = (member_id: string) =>
  of('time_entry', 'member_id', member_id)
    .filter((row) => row.state !== 'replaced')
    .sort(byStart)

/** One's own. */
export const ownTime = computed(() => {
  const me = opened.value?.who.member_id
  return me === undefined ? [] : entriesOf(me)
})

/** One's clocks without an end, the latest last: one, or more while two phones disagree. */
export const running = computed(() => ownTime.value.filter(isRunning))

/** Entries on a job that count, everybody's, oldest first. */
export const timeOf = (job_id: string) =>
  of('time_entry', 'job_id', job_id)
    .filter((row) => row.state !== 'replaced')
    .sort(byStart)

/** Others of the same member that an entry shares a moment with. */
export function beside(
  row: Span & Pick<TimeEntry, 'member_id'>,
  without: readonly string[] = [],
): TimeEntry[] {
  return of('time_entry', 'member_id', row.member_id)
    .filter((other) => other.state !== 'replaced' && other.id !== row.id && !without.includes(other.id))
    .filter((other) => overlap(row, other))
    .sort(byStart)
}

export function workOf({ kind, job_id, operation, line_id, cause, repairs_id }: TimeEntry): Work {
  return { kind, job_id, operation, line_id, cause: cause === '' ? null : cause, repairs_id }
}

export function plainWork(kind: Work['kind'], job_id: string | null): Work {
  return { kind, job_id, operation: '', line_id: null, cause: null, repairs_id: null }
}

/** The first labor on a job that its owner said yes to and nobody has clocked yet. */
export function nextAgreed(job_id: string): QuoteLine | undefined {
  const clocked = new Set(timeOf(job_id).map(({ line_id }) => line_id))
  return agreedLabor(job_id).find(({ id }) => !clocked.has(id))
}

export function agreedWork({ id, operation }: QuoteLine, job_id: string): Work {
  return { ...plainWork('repair', job_id), operation: operation ?? '', line_id: id }
}

/**
 * What a tap on the clock starts: on a job what was last clocked on it, but what was agreed before more of what was
 * not; else what was last worked on.
 */
export function likely(job_id: string | null): Work | null {
  if (job_id !== null) {
    const last = ownTime.value.findLast((row) => row.job_id === job_id && row.kind !== 'rework')
    const agreed = last?.line_id ? undefined : nextAgreed(job_id)
    if (agreed) return agreedWork(agreed, job_id)
    if (last) return workOf(last)
    const stage = job(job_id)?.stage
    return plainWork(stage === 'intake' || stage === 'diagnosis' ? 'diagnosis' : 'repair', job_id)
  }
  const last = ownTime.value.findLast((row) => OF_A_JOB.has(row.kind) && row.kind !== 'rework')
  const open = last?.job_id && job(last.job_id)
  if (!last || !open || ['returned', 'closed', 'cancelled'].includes(open.stage)) return null
  return workOf(last)
}

/**
 * Starts a clock now; what runs, on whichever phone, ends with it. With `also`, in one, what makes it the thing to do,
 * and what takes that back. Gives what takes it all back.
 */
export async function startClock(
  work: Work,
  also: { does: readonly Command[]; undoes: readonly Command[] } = { does: [], undoes: [] },
): Promise<() => Promise<void>> {
  const id = newId()
  const before = running.value
  const args = { ...work, id, started_at: moment(Date.now()), ends_ids: before.map((row) => row.id) }
  await enqueueAll([...also.does, { name: 'start_clock', args }])
  return async () => {
    const goesOn = before.at(-1)
    await enqueueAll([
      { name: 'drop_entry', args: { id, reason: TAKEN_BACK } },
      ...(goesOn ? [runningOn(goesOn)] : []),
      ...also.undoes,
    ])
  }
}

/** The stages before repair: from them the agreed work begins by moving the job there. */
const BEFORE_REPAIR: ReadonlySet<Stage> = new Set(['intake', 'diagnosis'])

/** What is to be done first on a job whose owner has said yes: labor that was agreed, while it is not in repair yet. */
export function startsWith(job_id: string): QuoteLine | undefined {
  const stage = job(job_id)?.stage
  return stage && BEFORE_REPAIR.has(stage) ? nextAgreed(job_id) : undefined
}

/** Moves a job to repair and starts the clock on a line of labor. Gives what takes both back. */
export function startAgreed(line: QuoteLine, job_id: string): Promise<() => Promise<void>> {
  const before = job(job_id)?.stage
  const to = (stage: Stage): Command => ({ name: 'move_job', args: { id: job_id, stage } })
  // From repair a job goes back by way of diagnosis.
  const undoes = before === 'intake' ? [to('diagnosis'), to('intake')] : [to('diagnosis')]
  return startClock(agreedWork(line, job_id), { does: [to('repair')], undoes })
}

/** Stops what runs. Gives what takes it back. */
export async function stopClock(): Promise<() => Promise<void>> {
  const stopped = running.value
  const ended_at = moment(Date.now())
  await enqueueAll(stopped.map(({ id }) => ({ name: 'stop_clock', args: { id, ended_at } })))
  return async () => {
    const last = stopped.at(-1)
    if (last) await enqueueAll([runningOn(last)])
  }
}

export const TAKEN_BACK = 'Taken back at once'

export function runningOn(row: TimeEntry) {
  return {
    name: 'correct_entry',
    args: {
      ...workOf(row),
      id: newId(),
      entry_id: row.id,
      started_at: row.started_at,
      ended_at: null,
      reason: TAKEN_BACK,
    },
  } as const
}

export interface Mended {
  work: Work
  started_at: Moment
  ended_at: Moment | null
  reason: string
}

export async function correctEntry(entry_id: string, { work, ...times }: Mended): Promise<void> {
  await enqueue('correct_entry', { ...work, ...times, id: newId(), entry_id })
}

type ByHand = Mended & { ended_at: Moment; member_id?: string }

export async function addEntry({ work, ended_at, ...rest }: ByHand): Promise<void> {
  await enqueue('add_entry', { ...work, ...rest, ended_at, id: newId() })
}

/**
 * Takes an entry out. Gives what puts it back where this phone can: nobody else's clock is started here, and what
 * was doubtful would not be taken as time by hand.
 */
export async function dropEntry(row: TimeEntry, reason: string): Promise<(() => Promise<void>) | undefined> {
  await enqueue('drop_entry', { id: row.id, reason })
  const { member_id, started_at, ended_at, device_started_at, doubt } = row
  const own = member_id === opened.value?.who.member_id
  const work = workOf(row)
  if (doubt !== '') return undefined
  if (ended_at !== null) {
    const whose = own ? {} : { member_id }
    return () => addEntry({ work, started_at, ended_at, reason: TAKEN_BACK, ...whose })
  }
  if (!own) return undefined
  // What the phone's clock said: the server puts a wrong clock right once more.
  const stamp = device_started_at ?? started_at
  return async () => {
    await enqueue('start_clock', { ...work, id: newId(), started_at: stamp, ends_ids: [] })
  }
}

/** Of two in dispute the first holds. */
export async function letHold(id: string, other_id: string | null): Promise<void> {
  await enqueue('settle_entries', { id, ...(other_id !== null && { other_id }) })
}

/** Of two in dispute the earlier gave way to the later at a time. */
export async function splitAt(id: string, other_id: string, at: Moment): Promise<void> {
  await enqueue('settle_entries', { id, other_id, split: { at, id: newId(), other_id: newId() } })
}
