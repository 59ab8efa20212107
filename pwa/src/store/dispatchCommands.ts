import type { Json } from '../domain/canonicalJson'
import type {
  ArrivalChannel,
  Command,
  Commands,
  Ink,
  Job,
  JobStopKind,
  Printout,
  Rig,
  Run,
  Stop,
  Yard,
} from '../domain/contract'
import { reverseMoves, type TripMove } from '../domain/dispatch/tripMoves'
import { plainDecimal } from '../domain/numbers/decimal'
import { type Day, moment } from '../domain/time'
import { newId } from './browser/clock'
import { jsonDigest } from './browser/sha256'
import { type Place, siteAt } from './customers'
import { yard } from './dispatch'
import { type Changes, editArgs, type NewRowFields, sendAdd, sendEdit } from './queue/commands'
import { enqueue, enqueueAll } from './queue/outbox'
import { allOf, byAge, ownedBy } from './rows/selectors'
import { resumeCommand, running, TAKEN_BACK } from './timeEntries'

// Stops

export type StopRequest = Omit<Commands['ask_stop'], 'id' | 'job_id' | 'kind' | 'site_id' | 'plan_id'> & {
  urgent: boolean
}

/**
 * Requests a stop: a pickup, a return or a visit. A new place, and what else belongs to it (`also`), is saved with it in
 * one transaction.
 */
export async function askStop(
  row: Job,
  kind: JobStopKind,
  { urgent, ...asked }: StopRequest,
  place: Place,
  also: readonly Command[] = [],
) {
  const { site_id, commands } = siteAt(row.customer_id, place)
  const plan_id = urgent ? replanId() : null
  const args = { id: newId(), job_id: row.id, kind, site_id, ...asked, plan_id }
  await enqueueAll([...commands, ...also, { name: 'ask_stop', args }])
}

export async function editStop(
  seen: Stop,
  wanted: Changes<'edit_stop'>,
  customer_id: string,
  place: Place,
  also: readonly Command[] = [],
) {
  const { site_id, commands } = siteAt(customer_id, place)
  const args = editArgs(seen, { ...wanted, site_id } as Partial<Stop>)
  commands.push(...also)
  if (args) commands.push({ name: 'edit_stop', args } as Command)
  if (commands.length) await enqueueAll(commands)
}

/** Removes a stop. Returns the undo. */
export async function dropStop(row: Stop, reason = ''): Promise<() => Promise<void>> {
  await enqueue('drop_stop', { id: row.id, reason })
  return async () => {
    const commands: Command[] = [{ name: 'restore_stop', args: { id: row.id } }]
    if (row.run_id !== null) commands.push(moveCommand(row.id, row))
    await enqueueAll(commands)
  }
}

export async function pinStop(id: string, pins: Omit<Commands['pin_stop'], 'id'>): Promise<void> {
  await enqueue('pin_stop', { id, ...pins })
}

type RunPosition = Pick<Stop, 'run_id' | 'trip' | 'position'>

export const moveCommand = (id: string, { run_id, trip, position }: RunPosition): Command => ({
  name: 'move_stop',
  args: { id, run_id, trip, position },
})

/** Moves a stop by hand. Returns the undo. */
export async function moveStop(row: Stop, to: RunPosition): Promise<() => Promise<void>> {
  await enqueueAll([moveCommand(row.id, to)])
  return async () => {
    await enqueueAll([moveCommand(row.id, row)])
  }
}

/** Splits or joins trips of a run by hand. Returns the undo. */
export async function moveStops(run_id: string, moves: readonly TripMove[]): Promise<() => Promise<void>> {
  const asked = (each: readonly TripMove[]) => each.map(({ id, to }) => moveCommand(id, { run_id, ...to }))
  await enqueueAll(asked(moves))
  return async () => {
    await enqueueAll(asked(reverseMoves(moves)))
  }
}

export async function tellArrival(
  id: string,
  opens: string,
  closes: string,
  channel: ArrivalChannel,
): Promise<void> {
  await enqueue('tell_arrival', {
    id,
    opens,
    closes,
    channel,
    notice_id: channel === 'by_hand' ? null : newId(),
  })
}

// Runs

export const openRun = (rig_id: string, day: Day) => sendAdd('open_run', { rig_id, day })

export async function lockRun(row: Run): Promise<() => Promise<void>> {
  const [done, undone] = row.state === 'locked' ? UNLOCK : LOCK
  await enqueue(done, { id: row.id })
  return async () => {
    await enqueue(undone, { id: row.id })
  }
}
const LOCK = ['lock_run', 'unlock_run'] as const
const UNLOCK = ['unlock_run', 'lock_run'] as const

export async function cancelRun(id: string): Promise<void> {
  await enqueue('cancel_run', { id })
}

/** Departs from the yard and starts the travel clock. */
export async function startRun(id: string): Promise<void> {
  const at = moment(Date.now())
  await enqueueAll([...stopClockCommands(at), startCommand(id, newId(), at)])
}

export const startCommand = (id: string, clock_id: string | null, at = moment(Date.now())): Command => ({
  name: 'start_run',
  args: { id, at, clock_id },
})

export async function endRun(id: string): Promise<void> {
  await enqueue('end_run', { id, at: moment(Date.now()), clock_id: runningTravelClock() })
}

/** Records the arrival at a stop and stops the member's travel clock. Returns the undo. */
export async function arriveAtStop(row: Stop): Promise<() => Promise<void>> {
  const clock = running.value.find((entry) => entry.kind === 'travel')
  await enqueue('arrive_stop', {
    id: row.id,
    at: moment(Date.now()),
    run_id: row.run_id,
    clock_id: clock?.id ?? null,
  })
  return async () => {
    await enqueueAll([takeBackCommand(row.id, 'arrived'), ...(clock ? [resumeCommand(clock)] : [])])
  }
}

export const takeBackCommand = (id: string, stamp: 'arrived' | 'left' | 'failed'): Command => ({
  name: 'take_back_stamp',
  args: { id, stamp },
})

/** Departs from a stop and starts the travel clock. Returns the undo. */
export async function leaveStop(row: Stop): Promise<() => Promise<void>> {
  const at = moment(Date.now())
  const clock_id = newId()
  const before = running.value.at(-1)
  await enqueueAll([...stopClockCommands(at), { name: 'leave_stop', args: { id: row.id, at, clock_id } }])
  return async () => {
    await enqueueAll([
      takeBackCommand(row.id, 'left'),
      { name: 'drop_entry', args: { id: clock_id, reason: TAKEN_BACK } },
      ...(before ? [resumeCommand(before)] : []),
    ])
  }
}

/** The member's running travel clock. */
function runningTravelClock(): string | null {
  return running.value.find((row) => row.kind === 'travel')?.id ?? null
}

/** Starting the travel clock stops the member's other clocks. */
function stopClockCommands(ended_at: string): Command[] {
  return running.value.map(({ id }) => ({ name: 'stop_clock', args: { id, ended_at } }))
}

/** The id of an automatic plan request; none without a yard. */
export const replanId = (): string | null => (yard.value?.lat ? newId() : null)

// Rigs and the yard

export const addRig = (fields: NewRowFields<'add_rig'>) => sendAdd('add_rig', fields)
export const editRig = (seen: Rig, wanted: Changes<'edit_rig'>) => sendEdit('edit_rig', seen, wanted)

export async function repairRig(id: string): Promise<void> {
  await enqueue('repair_rig', { id })
}

export async function saveYard(
  seen: Yard | undefined,
  wanted: Omit<Commands['set_up_yard'], 'id'>,
): Promise<void> {
  if (seen) await sendEdit('edit_yard', seen, wanted)
  else await sendAdd('set_up_yard', wanted)
}

// Planning

export async function requestPlan(days: Day[], fromNow: boolean): Promise<string> {
  return sendAdd('request_plan', { days, seed: 1, seconds: 5, from_now: fromNow })
}

export async function cancelPlan(id: string): Promise<void> {
  await enqueue('cancel_plan', { id })
}

// Hand-overs

type HandOverArgs = Commands['hand_over']
export type HandOverInput = Omit<HandOverArgs, 'id' | 'at' | 'digest' | 'meter' | 'signature'> & {
  meter: { hours: string; new_segment: boolean } | null
  ink: { strokes: Ink['strokes']; width: number; height: number } | null
}

/** Records the hand-over as both sides saw it; the signature covers its digest. */
export async function handOver({ meter, ink, ...seen }: HandOverInput): Promise<string> {
  const id = newId()
  const record = {
    ...seen,
    id,
    // Whole seconds, so that a time has only one representation.
    at: moment(Date.now()).replace(/\.\d+Z$/u, 'Z'),
    meter: meter && { id: newId(), hours: plainDecimal(meter.hours), new_segment: meter.new_segment },
  }
  // English is not signed: apps from before there was another language name none.
  const { language, ...signed } = record
  const digest = await jsonDigest((language === 'en' ? signed : record) as unknown as Json)
  const signature = ink && { id: newId(), ...ink }
  await enqueue('hand_over', { ...record, digest, signature })
  return id
}

export async function takePlan(id: string): Promise<void> {
  await enqueue('take_plan', { id })
}

// PDFs

/** The run's latest requested PDF. */
export const runSheetOf = (run_id: string): Printout | undefined =>
  ownedBy('printout', 'run_id', run_id).sort(byAge).at(-1)

/** The machine's latest requested tags. */
export const tagsOf = (machine_id: string): Printout | undefined =>
  allOf('printout')
    .filter((row) => row.machine_ids.includes(machine_id))
    .sort(byAge)
    .at(-1)

export async function printRun(run_id: string): Promise<void> {
  await sendAdd('print_run', { run_id })
}

/** The job's latest requested ticket. */
export const ticketOf = (job_id: string): Printout | undefined =>
  ownedBy('printout', 'job_id', job_id).sort(byAge).at(-1)

export async function printTicket(job_id: string): Promise<void> {
  await sendAdd('print_ticket', { job_id })
}

/** Makes the job's ticket and writes its link to the customer. */
export const sendTicket = (fields: NewRowFields<'send_ticket'>) => sendAdd('send_ticket', fields)

/** The hand-over's latest requested PDF. */
export const handSheetOf = (hand_over_id: string): Printout | undefined =>
  ownedBy('printout', 'hand_over_id', hand_over_id).sort(byAge).at(-1)

export async function printHandOver(hand_over_id: string): Promise<void> {
  await sendAdd('print_hand_over', { hand_over_id })
}

export async function printTags(machine_ids: string[]): Promise<void> {
  await sendAdd('print_tags', { machine_ids })
}
