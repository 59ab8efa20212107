/** Exceptions on the road: nobody home, a breakdown, an urgent call. Each is one press and can be undone. */
import type { Command, Commands, Job, JobStopKind, Rig, Run, Stop } from '../domain/contract'
import { isPendingStop } from '../domain/dispatch/runs'
import { moment } from '../domain/time'
import { newId } from './browser/clock'
import { stopsOfRun } from './dispatch'
import { moveCommand, replanId, startCommand, takeBackCommand } from './dispatchCommands'
import { enqueue, enqueueAll } from './queue/outbox'
import { allOf, ownedBy } from './rows/selectors'

/** An urgent call: first priority, today, and the rest of the day is replanned with it. Returns its undo. */
export async function requestUrgentStop(
  row: Job,
  kind: JobStopKind,
  site_id: string,
): Promise<() => Promise<void>> {
  const id = newId()
  await enqueue('ask_urgent_stop', { id, job_id: row.id, kind, site_id, notes: '', plan_id: replanId() })
  return async () => {
    await enqueue('drop_stop', { id, reason: '' })
  }
}

/** The site of a job's stop if it is certain: the job's own, or the customer's only one. */
export function usualSite(row: Job): string | undefined {
  const sites = ownedBy('site', 'customer_id', row.customer_id)
  return row.site_id ?? (sites.length === 1 ? sites[0]?.id : undefined)
}

/** The stop that repeats a failed one. */
export const againOf = ({ id }: Stop): Stop | undefined => allOf('stop').find((row) => row.again_of_id === id)

type Reason = Commands['fail_stop']['reason']

/**
 * A failed stop: the rest of today is replanned, and the stop is requested again unless it is not needed. Returns the
 * undo.
 */
export async function failStop(
  id: string,
  reason: Reason,
  note = '',
  again = true,
): Promise<() => Promise<void>> {
  const again_id = again ? newId() : null
  await enqueue('fail_stop', { ...failureArgs(id, reason, note), again_id, plan_id: replanId() })
  return async () => {
    await enqueueAll([takeBackCommand(id, 'failed')])
  }
}

/** Changes the reason of a failed stop, and whether it is requested again. */
export async function describeFailure(
  row: Stop,
  reason: Reason,
  note: string,
  again: boolean,
): Promise<void> {
  const wanted = againOf(row)
  const commands: Command[] = [
    { name: 'fail_stop', args: { ...failureArgs(row.id, reason, note), again_id: null, plan_id: null } },
  ]
  if (wanted && !again && isPendingStop(wanted.state))
    commands.push({ name: 'drop_stop', args: { id: wanted.id, reason: note } })
  if (wanted?.state === 'dropped' && again) commands.push({ name: 'restore_stop', args: { id: wanted.id } })
  await enqueueAll(commands)
}

const failureArgs = (id: string, reason: Reason, note: string) => ({
  id,
  at: moment(Date.now()),
  reason,
  note,
})

/**
 * A breakdown ends the rig's run. Returns the undo, by which the rig runs again with its former stops.
 */
export async function reportBreakdown(row: Run): Promise<() => Promise<string>> {
  const stops = stopsOfRun(row.id).filter(({ state }) => isPendingStop(state))
  await enqueue('report_breakdown', { id: row.rig_id, at: moment(Date.now()), note: '', plan_id: replanId() })
  return async () => {
    const run_id = newId()
    const first = stops[0]?.trip ?? 0
    const begun: Command[] = row.state === 'driving' ? [startCommand(run_id, null)] : []
    await enqueueAll([
      { name: 'repair_rig', args: { id: row.rig_id } },
      { name: 'open_run', args: { id: run_id, rig_id: row.rig_id, day: row.day } },
      ...stops.map((each) =>
        moveCommand(each.id, { run_id, trip: each.trip - first, position: each.position }),
      ),
      ...begun,
    ])
    return run_id
  }
}

/** Adds details of a breakdown: what happened, and the rig's position. */
export async function describeBreakdown(row: Rig, note: string, place: RigPlace): Promise<void> {
  const at = row.out_at ?? moment(Date.now())
  await enqueue('report_breakdown', { id: row.id, at, note, ...place, plan_id: null })
}

/** The recorded position of a rig. */
type RigPlace = Pick<Stop, 'lat' | 'lon' | 'place'>
