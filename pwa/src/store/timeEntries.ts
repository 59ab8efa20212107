import { computed } from '@preact/signals'
import type { Command, QuoteLine, Stage, TimeEntry } from '../domain/contract'
import type { WorkDetails } from '../domain/labor/clock'
import { isRunning, JOB_WORK_KINDS, overlap, type TimeSpan } from '../domain/labor/clock'
import { type Moment, moment } from '../domain/time'
import { newId } from './browser/clock'
import { currentLine } from './currentLine'
import { isOpen, job } from './jobs'
import { enqueue, enqueueAll } from './queue/outbox'
import { agreedLabor } from './quotes'
import { byId, compare, ownedBy } from './rows/selectors'
import { shopSession } from './session/shopSession'

export const entry = (id: string) => byId('time_entry', id)

const byStart = (a: TimeEntry, b: TimeEntry) => compare(a.started_at, b.started_at) || compare(a.id, b.id)

/** Whether an entry was clocked on this phone. */
export const isOfThisPhone = (row: TimeEntry) =>
  row.device_id === shopSession.value?.deviceStatus.value.device.id

/** A member's entries that count or must be settled, oldest first. */
export const entriesOf = (member_id: string) =>
  ownedBy('time_entry', 'member_id', member_id)
    .filter((row) => row.state !== 'replaced')
    .sort(byStart)

/** The member's own entries. */
export const ownTime = computed(() => {
  const me = shopSession.value?.who.member_id
  return me === undefined ? [] : entriesOf(me)
})

/** The member's running clocks, the latest last: one, or more while two phones disagree. */
export const running = computed(() => ownTime.value.filter(isRunning))

/** Whether time of a kind was clocked on a job: what it costs is spent. */
export const hasClocked = (job_id: string, kind: TimeEntry['kind']) =>
  timeOf(job_id).some((entry) => entry.kind === kind)

/** All members' entries on a job that count, oldest first. */
export const timeOf = (job_id: string) =>
  ownedBy('time_entry', 'job_id', job_id)
    .filter((row) => row.state !== 'replaced')
    .sort(byStart)

/** The member's other entries that overlap an entry. */
export function overlapping(
  row: TimeSpan & Pick<TimeEntry, 'member_id'>,
  without: readonly string[] = [],
): TimeEntry[] {
  return ownedBy('time_entry', 'member_id', row.member_id)
    .filter((other) => other.state !== 'replaced' && other.id !== row.id && !without.includes(other.id))
    .filter((other) => overlap(row, other))
    .sort(byStart)
}

export function workOf({ kind, job_id, operation, line_id, cause, repairs_id }: TimeEntry): WorkDetails {
  return { kind, job_id, operation, line_id, cause: cause === '' ? null : cause, repairs_id }
}

/** The work of an entry to go on with: on a line of a replaced quote, the line that replaced it. */
function workToResume(row: TimeEntry): WorkDetails {
  return { ...workOf(row), line_id: currentLine(row.line_id) }
}

export function plainWork(kind: WorkDetails['kind'], job_id: string | null): WorkDetails {
  return { kind, job_id, operation: '', line_id: null, cause: null, repairs_id: null }
}

/** The first accepted labor line of a job without clocked time. */
export function nextAgreedLabor(job_id: string): QuoteLine | undefined {
  const clocked = new Set(timeOf(job_id).map(({ line_id }) => currentLine(line_id)))
  return agreedLabor(job_id).find(({ id }) => !clocked.has(id))
}

export function agreedWork({ id, operation }: QuoteLine, job_id: string): WorkDetails {
  return { ...plainWork('repair', job_id), operation: operation ?? '', line_id: id }
}

/**
 * The work that a tap on the clock starts: on a job the last work clocked on it, but agreed labor before other work;
 * else the member's last work.
 */
export function suggestedWork(job_id: string | null): WorkDetails | null {
  if (job_id !== null) {
    const last = ownTime.value.findLast((row) => row.job_id === job_id && row.kind !== 'rework')
    const agreed = last?.line_id ? undefined : nextAgreedLabor(job_id)
    if (agreed) return agreedWork(agreed, job_id)
    if (last) return workToResume(last)
    const stage = job(job_id)?.stage
    return plainWork(stage === 'intake' || stage === 'diagnosis' ? 'diagnosis' : 'repair', job_id)
  }
  const last = ownTime.value.findLast((row) => JOB_WORK_KINDS.has(row.kind) && row.kind !== 'rework')
  if (!last || !isOpen(job(last.job_id ?? ''))) return null
  return workToResume(last)
}

/** Work that can be gone on with, and the start of the entry that was last clocked on it. */
export interface RecentWork {
  key: string
  work: WorkDetails
  started_at: Moment
}

const keyOf = ({ kind, job_id, operation, line_id }: WorkDetails) =>
  [kind, job_id, line_id ?? operation].join('|')

/** The member's own work that is not over, each once, what was clocked last first. Rework starts from its own screen. */
export function recentWork(): RecentWork[] {
  const found = new Map<string, RecentWork>()
  for (const row of ownTime.value.toReversed()) {
    if (row.kind === 'rework' || (row.job_id !== null && !isOpen(job(row.job_id)))) continue
    const work = workToResume(row)
    const key = keyOf(work)
    if (found.has(key)) continue
    found.set(key, { key, work, started_at: moment(Date.parse(row.started_at)) })
  }
  return [...found.values()]
}

/**
 * Starts a clock now; running clocks on any phone end. `also`: further commands in the same save, and their undo.
 * Returns the undo of all.
 */
export async function startClock(
  work: WorkDetails,
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
      ...(goesOn ? [resumeCommand(goesOn)] : []),
      ...also.undoes,
    ])
  }
}

/** The stages before repair, from which starting agreed work moves the job. */
const BEFORE_REPAIR: ReadonlySet<Stage> = new Set(['intake', 'diagnosis'])

/** The agreed labor to start with, while the job is not in repair yet. */
export function laborToStart(job_id: string): QuoteLine | undefined {
  const stage = job(job_id)?.stage
  return stage && BEFORE_REPAIR.has(stage) ? nextAgreedLabor(job_id) : undefined
}

/** Moves a job to repair and starts the clock on a line of labor. Returns the undo. */
export function startAgreed(line: QuoteLine, job_id: string): Promise<() => Promise<void>> {
  const before = job(job_id)?.stage
  const to = (stage: Stage): Command => ({ name: 'move_job', args: { id: job_id, stage } })
  // From repair a job goes back through diagnosis.
  const undoes = before === 'intake' ? [to('diagnosis'), to('intake')] : [to('diagnosis')]
  return startClock(agreedWork(line, job_id), { does: [to('repair')], undoes })
}

/** Stops running clocks. Returns the undo. */
export async function stopClock(): Promise<() => Promise<void>> {
  const stopped = running.value
  const ended_at = moment(Date.now())
  await enqueueAll(stopped.map(({ id }) => ({ name: 'stop_clock', args: { id, ended_at } })))
  return async () => {
    const last = stopped.at(-1)
    if (last) await enqueueAll([resumeCommand(last)])
  }
}

export const TAKEN_BACK = 'Taken back at once'

export function resumeCommand(row: TimeEntry) {
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

export interface EntryCorrection {
  work: WorkDetails
  started_at: Moment
  ended_at: Moment | null
  reason: string
}

export async function correctEntry(entry_id: string, { work, ...times }: EntryCorrection): Promise<void> {
  await enqueue('correct_entry', { ...work, ...times, id: newId(), entry_id })
}

type NewEntry = EntryCorrection & { ended_at: Moment; member_id?: string }

export async function addEntry({ work, ended_at, ...rest }: NewEntry): Promise<void> {
  await enqueue('add_entry', { ...work, ...rest, ended_at, id: newId() })
}

/**
 * Removes an entry. Returns the undo where this phone can do it: it cannot start another member's clock, and an entry
 * that needed review would not be accepted as a manual one.
 */
export async function dropEntry(row: TimeEntry, reason: string): Promise<(() => Promise<void>) | undefined> {
  await enqueue('drop_entry', { id: row.id, reason })
  const { member_id, started_at, ended_at, device_started_at, anomaly } = row
  const own = member_id === shopSession.value?.who.member_id
  const work = workOf(row)
  if (anomaly !== '') return undefined
  if (ended_at !== null) {
    const whose = own ? {} : { member_id }
    return () => addEntry({ work, started_at, ended_at, reason: TAKEN_BACK, ...whose })
  }
  if (!own) return undefined
  // The stamp of the phone's clock: the server corrects a wrong clock again.
  const stamp = device_started_at ?? started_at
  return async () => {
    await enqueue('start_clock', { ...work, id: newId(), started_at: stamp, ends_ids: [] })
  }
}

/** Settles a dispute: the first entry counts. */
export async function settleForFirst(id: string, other_id: string | null): Promise<void> {
  await enqueue('settle_entries', { id, ...(other_id !== null && { other_id }) })
}

/** Settles a dispute: the earlier entry ends at a time, where the later starts. */
export async function settleBySplit(id: string, other_id: string, at: Moment): Promise<void> {
  await enqueue('settle_entries', { id, other_id, split: { at, id: newId(), other_id: newId() } })
}
