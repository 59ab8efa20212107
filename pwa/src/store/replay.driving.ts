import type { CommandName } from '../domain/commands'
import type { Stop } from '../domain/rows'
import { doubtOfReading, isAhead, runMayBecome, stopMayBecome } from '../domain/runs'
import { born, edit, type Made, type Replays } from './made'
import { laborReplays } from './replay.labor'
import { drop, free, freshStop, giveBack, planToday, stopsOf } from './replay.planning'
import { workReplays } from './replay.work'
import type { World } from './world'

export type DrivingCommands = Extract<
  CommandName,
  | 'start_run'
  | 'end_run'
  | 'arrive_stop'
  | 'leave_stop'
  | 'take_back_stamp'
  | 'fail_stop'
  | 'report_breakdown'
  | 'hand_over'
>

export const drivingReplays: Replays<DrivingCommands> = {
  start_run: (world, args, made) => {
    const run = world.get('run', args.id)
    if (!run || run.state === 'done' || run.state === 'cancelled') return
    const state = runMayBecome(run.state, 'driving') ? 'driving' : run.state
    edit(world, 'run', run.id, { state, started_at: run.started_at ?? args.at }, made)
    beginTravel(world, args.clock_id, args.at, headForNext(world, run.id, made), made)
  },
  arrive_stop: (world, args, made) => {
    const stop = world.get('stop', args.id)
    if (!stop) return
    const run_id = stop.run_id ?? args.run_id
    const position = stop.run_id === null && run_id !== null ? stopsOf(world, run_id).length : stop.position
    const state = stopMayBecome(stop.state, 'arrived') ? 'arrived' : stop.state
    edit(world, 'stop', stop.id, { run_id, position, state, arrived_at: stop.arrived_at ?? args.at }, made)
    for (const other of run_id === null ? [] : stopsOf(world, run_id))
      if (other.id !== stop.id && other.state === 'driving')
        edit(world, 'stop', other.id, { state: 'planned' }, made)
    endTravel(world, args.clock_id, args.at, made)
  },
  leave_stop: (world, args, made) => {
    const stop = world.get('stop', args.id)
    if (!stop) return
    const state = stopMayBecome(stop.state, 'left') ? 'left' : stop.state
    edit(world, 'stop', stop.id, { state, left_at: stop.left_at ?? args.at }, made)
    const next = stop.run_id === null ? undefined : headForNext(world, stop.run_id, made)
    beginTravel(world, args.clock_id, args.at, next, made)
  },
  take_back_stamp: (world, args, made) => {
    const stop = world.get('stop', args.id)
    if (stop?.state !== args.stamp) return
    if (args.stamp === 'failed') {
      edit(world, 'stop', stop.id, { failure: '', failure_note: '', failed_at: null }, made)
      for (const again of world.where('stop', 'job_id', stop.job_id))
        if (again.again_of_id === stop.id && isAhead(again.state)) drop(world, again, made)
    }
    if (args.stamp === 'left' || (args.stamp === 'failed' && stop.arrived_at !== null)) {
      edit(world, 'stop', stop.id, { state: 'arrived', left_at: null }, made)
      for (const other of stop.run_id === null ? [] : stopsOf(world, stop.run_id))
        if (other.state === 'driving') edit(world, 'stop', other.id, { state: 'planned' }, made)
      return
    }
    edit(world, 'stop', stop.id, { state: 'planned', arrived_at: null }, made)
    const on = stop.run_id === null ? undefined : world.get('run', stop.run_id)?.state
    if (on === undefined || on === 'done' || on === 'cancelled')
      free(world, { ...stop, state: 'planned' }, made)
    else if (stop.run_id !== null) headForNext(world, stop.run_id, made)
  },
  fail_stop: (world, args, made) => {
    const stop = world.get('stop', args.id)
    if (!stop) return
    const why = { failure: args.reason, failure_note: args.note }
    if (stop.state === 'failed') edit(world, 'stop', stop.id, why, made)
    if (stopMayBecome(stop.state, 'failed')) {
      const failed = { ...why, failed_at: args.at }
      edit(world, 'stop', stop.id, { state: 'failed', ...failed }, made)
      if (args.again_id !== null && !world.get('stop', args.again_id))
        askAgain(world, stop, args.again_id, made)
    }
    if (stop.run_id !== null) headForNext(world, stop.run_id, made)
    planToday(world, args.plan_id, 'no_show', made)
  },
  end_run: (world, args, made) => {
    const run = world.get('run', args.id)
    if (!run) return
    const state = run.state === 'cancelled' ? run.state : 'done'
    edit(world, 'run', run.id, { state, ended_at: run.ended_at ?? args.at }, made)
    giveBack(world, run.id, made)
    endTravel(world, args.clock_id, args.at, made)
  },
  report_breakdown: (world, args, made) => {
    const rig = world.get('rig', args.id)
    if (!rig) return
    edit(world, 'rig', rig.id, { out_at: rig.out_at ?? args.at, out_note: args.note || rig.out_note }, made)
    for (const run of world.where('run', 'rig_id', rig.id)) {
      if (run.state === 'driving') {
        edit(world, 'run', run.id, { state: 'done', ended_at: args.at }, made)
        giveBack(world, run.id, made)
      } else if (run.day === args.at.slice(0, 10) && runMayBecome(run.state, 'cancelled')) {
        edit(world, 'run', run.id, { state: 'cancelled' }, made)
        giveBack(world, run.id, made)
      }
    }
    planToday(world, args.plan_id, 'breakdown', made)
  },
  hand_over: (world, { meter, signature, ...args }, made) => {
    const stop = world.get('stop', args.stop_id)
    const job = stop && world.get('job', stop.job_id)
    if (!stop || world.get('hand_over', args.id)) return
    const doubt = meter && job ? noteMeter(world, job.machine_id, meter, args.at, made) : ''
    world.put('hand_over', {
      ...born(world, 'hand_over', args.id, made),
      ...args,
      job_id: stop.job_id,
      kind: stop.kind,
      member_id: made.member_id,
      reading_id: meter?.id ?? null,
      meter_doubt: doubt,
      matches: args.digest === null ? null : true,
      signature_id: signature?.id ?? null,
    })
    if (signature && args.digest !== null)
      world.put('signature', {
        ...born(world, 'signature', signature.id, made),
        ...signature,
        signer_name: args.signer_name,
        digest: args.digest,
      })
    if (stop.kind === 'return' && job?.stage === 'ready')
      edit(world, 'job', job.id, { stage: 'returned' }, made)
  },
}

/** The first stop of a driving run that nobody has been to is the one that is driven to. */
function headForNext(world: World, run_id: string, made: Made): Stop | undefined {
  if (world.get('run', run_id)?.state !== 'driving') return undefined
  const ahead = stopsOf(world, run_id).filter((stop) => stop.state === 'planned' || stop.state === 'driving')
  ahead.forEach((stop, at) => {
    const state = at === 0 ? 'driving' : 'planned'
    if (stop.state !== state) edit(world, 'stop', stop.id, { state }, made)
  })
  return ahead[0]
}

function askAgain(world: World, stop: Stop, id: string, made: Made): void {
  const { job_id, kind, site_id, lat, lon, place, from_rig_id, windows, service_minutes, needs, priority } =
    stop
  const { earliest_on, promised_on, wait_until, by_daylight, notes, pin_rig_id } = stop
  world.put('stop', {
    ...freshStop(world, id, made),
    ...{ job_id, kind, site_id, lat, lon, place, from_rig_id, windows, service_minutes, needs, priority },
    ...{ earliest_on, promised_on, wait_until, by_daylight, notes, pin_rig_id },
    again_of_id: stop.id,
  })
}

function beginTravel(
  world: World,
  clock_id: string | null,
  at: string,
  next: Stop | undefined,
  made: Made,
): void {
  if (clock_id === null) return
  const work = { kind: 'travel', operation: '', line_id: null, cause: null, repairs_id: null } as const
  const job_id = next?.job_id ?? null
  laborReplays.start_clock(world, { id: clock_id, started_at: at, ends_ids: [], job_id, ...work }, made)
}

function endTravel(world: World, clock_id: string | null, at: string, made: Made): void {
  if (clock_id !== null) laborReplays.stop_clock(world, { id: clock_id, ended_at: at }, made)
}

function noteMeter(
  world: World,
  machine_id: string,
  meter: { id: string; hours: string; new_segment: boolean },
  at: string,
  made: Made,
) {
  const read_on = at.slice(0, 10)
  const last = world
    .where('meter_reading', 'machine_id', machine_id)
    .filter((reading) => reading.id !== meter.id)
    .sort((one, other) => one.segment - other.segment || (one.read_on < other.read_on ? -1 : 1))
    .at(-1)
  workReplays.record_meter(world, { ...meter, machine_id, read_on }, made)
  if (meter.new_segment || !last) return ''
  return doubtOfReading(Number(meter.hours), read_on, { hours: Number(last.hours), on: last.read_on })
}
