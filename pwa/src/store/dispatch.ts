import { computed } from '@preact/signals'
import type { Command, Commands, StopFields } from '../domain/commands'
import { plainDecimal } from '../domain/decimal'
import { canonical, type Json } from '../domain/offer'
import { type Position, positionOf } from '../domain/places'
import type { Job, Leg, Printout, Rig, Run, Stop, StopKind, Strokes, Yard } from '../domain/rows'
import { isAhead } from '../domain/runs'
import { type Day, moment } from '../domain/time'
import { movedBack, type TripMove } from '../domain/tripsByHand'
import { newId } from './clock'
import { digestOf } from './digest'
import { editOf } from './editing'
import { enqueue, enqueueAll } from './outbox'
import { all, byAge, compare, of, one } from './shown'
import { running, runningOn, TAKEN_BACK } from './time'

export const run = (id: string) => one('run', id)
export const stop = (id: string) => one('stop', id)
export const rig = (id: string) => one('rig', id)
export const plan = (id: string) => one('plan_request', id)

/** Where runs begin and end; undefined until somebody has said so. */
export const yard = computed((): Yard | undefined => all('yard')[0])

/** Rigs not put away, by name. */
export const rigs = computed(() =>
  all('rig')
    .filter((row) => row.active)
    .sort((a, b) => compare(a.name, b.name) || compare(a.id, b.id)),
)

/** Runs of a day that were not called off, by rig. */
export const runsOn = (day: Day): Run[] =>
  of('run', 'day', day)
    .filter((row) => row.state !== 'cancelled')
    .sort(
      (a, b) => compare(one('rig', a.rig_id)?.name ?? '', one('rig', b.rig_id)?.name ?? '') || byAge(a, b),
    )

/** Where one has to go: where the machine stands now, else the owner's place. Twin: `Stop.stands_at` of the server. */
export const standsAt = (row: Stop): Position | null =>
  row.lat !== null || row.from_rig_id !== null ? positionOf(row) : positionOf(one('site', row.site_id))

/** The drive to a stop as it was figured last. */
export const legTo = (row: Stop): Leg | undefined =>
  row.run_id === null ? undefined : run(row.run_id)?.legs.find(({ stop_id }) => stop_id === row.id)

/** The stops of a run in their order. */
export const stopsOfRun = (run_id: string): Stop[] =>
  of('stop', 'run_id', run_id).sort(
    (a, b) => a.trip - b.trip || a.position - b.position || compare(a.id, b.id),
  )

export const stopsOfJob = (job_id: string): Stop[] => of('stop', 'job_id', job_id).sort(byAge)

/** Stops that nobody has put on a run yet, the urgent and then the promised ones first. */
export const stopsWaiting = computed((): Stop[] =>
  all('stop')
    .filter((row) => row.state === 'asked')
    .sort(
      (a, b) =>
        URGENCY[a.priority] - URGENCY[b.priority] ||
        compare(a.promised_on ?? '9999', b.promised_on ?? '9999') ||
        byAge(a, b),
    ),
)
const URGENCY = { first: 0, soon: 1, usual: 2 } as const

/** The first stop of a run that somebody still has to go to, or is at. */
export const nextStop = (run_id: string): Stop | undefined =>
  stopsOfRun(run_id).find((row) => row.state === 'arrived') ??
  stopsOfRun(run_id).find((row) => isAhead(row.state))

export const handOversOf = (stop_id: string) => of('hand_over', 'stop_id', stop_id).sort(byAge)

/** The latest planning that touches a day. */
export const latestPlan = (day: Day) =>
  all('plan_request')
    .filter((row) => row.days.includes(day))
    .sort(byAge)
    .at(-1)

/** The runs of a day that a member drives. */
export const runsOf = (member_id: string | undefined, day: Day): Run[] =>
  member_id === undefined ? [] : runsOn(day).filter((row) => row.driver_id === member_id)

/** What a member has to drive: their runs of the day that are not over, and one of another day still on the road. */
export const runsToDrive = (member_id: string | undefined, day: Day): Run[] => [
  ...all('run').filter(
    (row) =>
      row.driver_id !== null && row.driver_id === member_id && row.state === 'driving' && row.day !== day,
  ),
  ...runsOf(member_id, day).filter((row) => row.state !== 'done'),
]

// Stops

export type Asked = Omit<Commands['ask_stop'], 'id' | 'job_id' | 'kind' | 'plan_id'> & {
  urgent: boolean
}

/** Asks for a machine to be fetched, brought back or worked on where it stands. */
export async function askStop(row: Job, kind: StopKind, { urgent, ...asked }: Asked): Promise<string> {
  const id = newId()
  await enqueue('ask_stop', { id, job_id: row.id, kind, ...asked, plan_id: urgent ? planAnew() : null })
  return id
}

export async function editStop(seen: Stop, wanted: Partial<Pick<Stop, StopFields>>): Promise<void> {
  const edit = editOf(seen, wanted)
  if (edit) await enqueue('edit_stop', edit)
}

/** Takes a stop out. Gives what asks for it again. */
export async function dropStop(row: Stop, reason = ''): Promise<() => Promise<void>> {
  await enqueue('drop_stop', { id: row.id, reason })
  return async () => {
    const commands: Command[] = [{ name: 'restore_stop', args: { id: row.id } }]
    if (row.run_id !== null) commands.push(moving(row.id, row))
    await enqueueAll(commands)
  }
}

export async function pinStop(id: string, pins: Omit<Commands['pin_stop'], 'id'>): Promise<void> {
  await enqueue('pin_stop', { id, ...pins })
}

type Spot = Pick<Stop, 'run_id' | 'trip' | 'position'>

export const moving = (id: string, { run_id, trip, position }: Spot): Command => ({
  name: 'move_stop',
  args: { id, run_id, trip, position },
})

/** Puts a stop elsewhere by hand. Gives what puts it back. */
export async function moveStop(row: Stop, to: Spot): Promise<() => Promise<void>> {
  await enqueueAll([moving(row.id, to)])
  return async () => {
    await enqueueAll([moving(row.id, row)])
  }
}

/** Makes or joins trips of a run by hand. Gives what puts them back. */
export async function moveStops(run_id: string, moves: readonly TripMove[]): Promise<() => Promise<void>> {
  const asked = (each: readonly TripMove[]) => each.map(({ id, to }) => moving(id, { run_id, ...to }))
  await enqueueAll(asked(moves))
  return async () => {
    await enqueueAll(asked(movedBack(moves)))
  }
}

export async function tellArrival(
  id: string,
  opens: string,
  closes: string,
  channel: Commands['tell_arrival']['channel'],
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

export async function openRun(rig_id: string, day: Day): Promise<string> {
  const id = newId()
  await enqueue('open_run', { id, rig_id, day })
  return id
}

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

/** Leaves the yard; the travel clock begins with it. */
export async function startRun(id: string): Promise<void> {
  const at = moment(Date.now())
  await enqueueAll([...endingClocks(at), starting(id, newId(), at)])
}

export const starting = (id: string, clock_id: string | null, at = moment(Date.now())): Command => ({
  name: 'start_run',
  args: { id, at, clock_id },
})

export async function endRun(id: string): Promise<void> {
  await enqueue('end_run', { id, at: moment(Date.now()), clock_id: travelling() })
}

/** Is at a stop: the travel clock of this phone's member ends. Gives what takes it back. */
export async function arrive(row: Stop): Promise<() => Promise<void>> {
  const clock = running.value.find((entry) => entry.kind === 'travel')
  await enqueue('arrive_stop', {
    id: row.id,
    at: moment(Date.now()),
    run_id: row.run_id,
    clock_id: clock?.id ?? null,
  })
  return async () => {
    await enqueueAll([takingBack(row.id, 'arrived'), ...(clock ? [runningOn(clock)] : [])])
  }
}

export const takingBack = (id: string, stamp: 'arrived' | 'left' | 'failed'): Command => ({
  name: 'take_back_stamp',
  args: { id, stamp },
})

/** Goes on from a stop: the travel clock begins again. Gives what takes it back. */
export async function leave(row: Stop): Promise<() => Promise<void>> {
  const at = moment(Date.now())
  const clock_id = newId()
  const before = running.value.at(-1)
  await enqueueAll([...endingClocks(at), { name: 'leave_stop', args: { id: row.id, at, clock_id } }])
  return async () => {
    await enqueueAll([
      takingBack(row.id, 'left'),
      { name: 'drop_entry', args: { id: clock_id, reason: TAKEN_BACK } },
      ...(before ? [runningOn(before)] : []),
    ])
  }
}

/** The member's own travel clock that runs, if one does. */
function travelling(): string | null {
  return running.value.find((row) => row.kind === 'travel')?.id ?? null
}

/** Whoever drives does nothing else: what the member clocks ends as the travel clock begins. */
function endingClocks(ended_at: string): Command[] {
  return running.value.map(({ id }) => ({ name: 'stop_clock', args: { id, ended_at } }))
}

/** The id of a planning that follows by itself; none where nobody has said where runs begin. */
export const planAnew = (): string | null => (yard.value?.lat ? newId() : null)

// Rigs and the yard

export async function addRig(figures: Omit<Commands['add_rig'], 'id'>): Promise<string> {
  const id = newId()
  await enqueue('add_rig', { id, ...figures })
  return id
}

export async function editRig(seen: Rig, wanted: Partial<Omit<Commands['add_rig'], 'id'>>): Promise<void> {
  const edit = editOf(seen, wanted)
  if (edit) await enqueue('edit_rig', edit)
}

export async function mendRig(id: string): Promise<void> {
  await enqueue('mend_rig', { id })
}

export async function saveYard(
  seen: Yard | undefined,
  wanted: Omit<Commands['set_up_yard'], 'id'>,
): Promise<void> {
  if (!seen) await enqueue('set_up_yard', { id: newId(), ...wanted })
  else {
    const edit = editOf(seen, wanted)
    if (edit) await enqueue('edit_yard', edit)
  }
}

// Planning

export async function requestPlan(days: Day[], fromNow: boolean): Promise<string> {
  const id = newId()
  await enqueue('request_plan', { id, days, seed: 1, seconds: 5, from_now: fromNow })
  return id
}

export async function cancelPlan(id: string): Promise<void> {
  await enqueue('cancel_plan', { id })
}

// Hand-overs

type HandOverArgs = Commands['hand_over']
export type HandedOver = Omit<HandOverArgs, 'id' | 'at' | 'digest' | 'meter' | 'signature'> & {
  meter: { hours: string; new_segment: boolean } | null
  ink: { strokes: Strokes; width: number; height: number } | null
}

/** Keeps what both sides saw; ink is put under the digest of exactly that. */
export async function handOver({ meter, ink, ...seen }: HandedOver): Promise<string> {
  const id = newId()
  const told = {
    ...seen,
    id,
    // Whole seconds: a time has only one spelling then.
    at: moment(Date.now()).replace(/\.\d+Z$/u, 'Z'),
    meter: meter && { id: newId(), hours: plainDecimal(meter.hours), new_segment: meter.new_segment },
  }
  const spelled = new TextEncoder().encode(canonical(told as unknown as Json))
  const digest = await digestOf(spelled.buffer as ArrayBuffer)
  const signature = ink && { id: newId(), ...ink }
  await enqueue('hand_over', { ...told, digest, signature })
  return id
}

export async function takePlan(id: string): Promise<void> {
  await enqueue('take_plan', { id })
}

// Paper

/** The paper of a run that was asked for last. */
export const sheetOf = (run_id: string): Printout | undefined =>
  of('printout', 'run_id', run_id).sort(byAge).at(-1)

/** The tags of a machine that were asked for last. */
export const tagsOf = (machine_id: string): Printout | undefined =>
  all('printout')
    .filter((row) => row.machine_ids.includes(machine_id))
    .sort(byAge)
    .at(-1)

export async function printRun(run_id: string): Promise<void> {
  await enqueue('print_run', { id: newId(), run_id })
}

/** The sheet of a hand-over that was asked for last. */
export const handSheetOf = (hand_over_id: string): Printout | undefined =>
  of('printout', 'hand_over_id', hand_over_id).sort(byAge).at(-1)

export async function printHandOver(hand_over_id: string): Promise<void> {
  await enqueue('print_hand_over', { id: newId(), hand_over_id })
}

export async function printTags(machine_ids: string[]): Promise<void> {
  await enqueue('print_tags', { id: newId(), machine_ids })
}
