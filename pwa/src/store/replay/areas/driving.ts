import type { Commands, HandOverMeter, MeterReading, Stop } from '../../../domain/contract'
import { guardItem } from '../../../domain/dispatch/checkIn'
import { isPendingStop, readingAnomaly } from '../../../domain/dispatch/runs'
import { runMayBecome, stopMayBecome } from '../../../domain/states'
import type { Day } from '../../../domain/time'
import type { ReplayRows } from '../../rows/overlay'
import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime, dayAt, editRow, type ReplayContext, todayOf } from '../context'
import { replays as labor } from './labor'
import {
  dropStop,
  isLive,
  releaseStops,
  replanScope,
  requestReplan,
  setCurrentStop,
  stopsOf,
  unassignStop,
} from './planning'
import { replays as work } from './work'

export const replays: ReplaysOf<'driving'> = {
  start_run: (rows, args, context) => {
    const run = rows.get('run', args.id)
    if (!run) return
    const state = runMayBecome(run.state, 'driving') ? 'driving' : run.state
    // A finished run stays finished: the server holds the command for review.
    if (state !== 'driving') return
    editRow(
      rows,
      'run',
      run.id,
      { state, started_at: run.started_at ?? correctedTime(args.at, context) },
      context,
    )
    beginTravel(rows, args.clock_id, args.at, setCurrentStop(rows, run.id, context), context)
  },
  arrive_stop: (rows, args, context) => {
    const stop = rows.get('stop', args.id)
    if (!stop) return
    const run_id = stop.run_id ?? args.run_id
    const position = stop.run_id === null && run_id !== null ? stopsOf(rows, run_id).length : stop.position
    const state = stopMayBecome(stop.state, 'arrived') ? 'arrived' : stop.state
    const arrived_at = stop.arrived_at ?? correctedTime(args.at, context)
    editRow(rows, 'stop', stop.id, { run_id, position, state, arrived_at }, context)
    takeAimOff(rows, run_id, stop, context)
    endTravel(rows, args.clock_id, args.at, context)
  },
  leave_stop: (rows, args, context) => {
    const stop = rows.get('stop', args.id)
    if (!stop) return
    const state = stopMayBecome(stop.state, 'left') ? 'left' : stop.state
    editRow(
      rows,
      'stop',
      stop.id,
      { state, left_at: stop.left_at ?? correctedTime(args.at, context) },
      context,
    )
    beginTravel(rows, args.clock_id, args.at, setCurrentStop(rows, stop.run_id, context), context)
  },
  take_back_stamp: (rows, args, context) => {
    const stop = rows.get('stop', args.id)
    if (stop?.state !== args.stamp) return
    if (args.stamp === 'failed') forgetFailure(rows, stop, context)
    else if (args.stamp === 'left')
      editRow(rows, 'stop', stop.id, { state: 'arrived', left_at: null }, context)
    else editRow(rows, 'stop', stop.id, { state: 'planned', arrived_at: null }, context)
    const now = rows.get('stop', stop.id) ?? stop
    if (now.state === 'arrived') return takeAimOff(rows, now.run_id, now, context)
    const run = now.run_id === null ? undefined : rows.get('run', now.run_id)
    if (!run || run.state === 'done' || run.state === 'cancelled') unassignStop(rows, now, context)
    else setCurrentStop(rows, run.id, context)
  },
  fail_stop: (rows, args, context) => {
    const stop = rows.get('stop', args.id)
    if (!stop) return
    const why = { failure: args.reason, failure_note: args.note }
    if (stop.state === 'failed') return editRow(rows, 'stop', stop.id, why, context)
    // For a stop that was done and left the command is held: a person decides which is true.
    if (!stopMayBecome(stop.state, 'failed')) return
    const failed_at = correctedTime(args.at, context)
    editRow(rows, 'stop', stop.id, { state: 'failed', ...why, failed_at }, context)
    if (args.again_id !== null && !rows.get('stop', args.again_id))
      askAgain(rows, stop, args.again_id, context)
    setCurrentStop(rows, stop.run_id, context)
    const run = stop.run_id === null ? undefined : rows.get('run', stop.run_id)
    if (!run || !isLive(run) || run.day !== todayOf(rows, context)) return
    const own = replanScope(rows, context)
    requestReplan(rows, args.plan_id, 'no_show', own === run.driver_id ? own : null, context)
  },
  end_run: (rows, args, context) => {
    const run = rows.get('run', args.id)
    if (!run) return
    const state = run.state === 'cancelled' ? run.state : 'done'
    editRow(
      rows,
      'run',
      run.id,
      { state, ended_at: run.ended_at ?? correctedTime(args.at, context) },
      context,
    )
    releaseStops(rows, run.id, context)
    endTravel(rows, args.clock_id, args.at, context)
  },
  report_breakdown: (rows, args, context) => {
    const rig = rows.get('rig', args.id)
    if (!rig) return
    const at = correctedTime(args.at, context)
    editRow(rows, 'rig', rig.id, { out_at: rig.out_at ?? at, out_note: args.note || rig.out_note }, context)
    const today = todayOf(rows, context)
    const run = rows.where('run', 'rig_id', rig.id).find((each) => each.day === today && isLive(each))
    // The server requests stops for the machines on its deck, under its own ids.
    if (run) {
      const over = run.state === 'driving' ? ({ state: 'done', ended_at: at } as const) : CALLED_OFF
      editRow(rows, 'run', run.id, over, context)
      releaseStops(rows, run.id, context)
    } else sayWhere(rows, args, context)
    if (run || rig.out_at === null) requestReplan(rows, args.plan_id, 'breakdown', null, context)
  },
  hand_over: (rows, { meter, signature, ...args }, context) => {
    const stop = rows.get('stop', args.stop_id)
    const job = stop?.job_id ? rows.get('job', stop.job_id) : undefined
    if (!stop?.job_id || stop.kind === 'fetch' || rows.get('hand_over', args.id)) return
    const at = correctedTime(args.at, context)
    const meter_anomaly = meter && job ? noteMeter(rows, job.machine_id, meter, dayAt(rows, at), context) : ''
    const { job_id, kind } = stop
    const of_stop = { job_id, kind, meter_anomaly, reading_id: meter?.id ?? null }
    const signed = {
      matches: args.digest === null ? null : true,
      signature_id: signature?.id ?? null,
    }
    const condition = args.condition.map((item) => ({ note: '', ...item }))
    addRow(rows, 'hand_over', { ...args, condition, at, ...of_stop, ...signed }, context)
    if (signature) {
      const { signer_name, digest } = args
      addRow(rows, 'signature', { ...signature, signer_name, digest: digest ?? '' }, context)
    }
    const found = guardItem(kind, condition)
    if (found)
      work.record_safety_item(
        rows,
        { id: args.id, job_id, finding_id: null, again_of_id: null, ...found },
        context,
      )
    if (kind === 'return' && job?.stage === 'ready')
      work.move_job(rows, { id: job.id, stage: 'returned' }, context)
  },
}

const CALLED_OFF = { state: 'cancelled' } as const

/** Handles the arrival at another stop than the current one. */
function takeAimOff(rows: ReplayRows, run_id: string | null, reached: Stop, context: ReplayContext): void {
  for (const other of run_id === null ? [] : stopsOf(rows, run_id))
    if (other.id !== reached.id && other.state === 'driving')
      editRow(rows, 'stop', other.id, { state: 'planned' }, context)
}

/** Reverts a failed stop. */
function forgetFailure(rows: ReplayRows, stop: Stop, context: ReplayContext): void {
  const state = stop.arrived_at === null ? 'planned' : 'arrived'
  editRow(rows, 'stop', stop.id, { state, failure: '', failure_note: '', failed_at: null }, context)
  const stops = stop.job_id === null ? rows.all('stop') : rows.where('stop', 'job_id', stop.job_id)
  for (const again of stops)
    if (again.again_of_id === stop.id && isPendingStop(again.state)) dropStop(rows, again, context)
}

function askAgain(rows: ReplayRows, stop: Stop, id: string, context: ReplayContext): void {
  const {
    job_id,
    kind,
    site_id,
    supplier_id,
    lat,
    lon,
    place,
    from_rig_id,
    windows,
    service_minutes,
    needs,
    priority,
  } = stop
  const { earliest_on, promised_on, wait_until, by_daylight, notes, pin_rig_id } = stop
  const place_and_needs = {
    site_id,
    supplier_id,
    lat,
    lon,
    place,
    from_rig_id,
    windows,
    service_minutes,
    needs,
    priority,
  }
  const when = { earliest_on, promised_on, wait_until, by_daylight, notes, pin_rig_id }
  addRow(rows, 'stop', { id, job_id, kind, ...place_and_needs, ...when, again_of_id: stop.id }, context)
}

/** Moves pending pickups from a broken-down rig to its recorded position. */
function sayWhere(
  rows: ReplayRows,
  { id, lat, lon, place }: Commands['report_breakdown'],
  context: ReplayContext,
): void {
  const at = lat != null && lon != null ? { lat, lon } : {}
  for (const stop of rows.all('stop'))
    if (stop.from_rig_id === id && isPendingStop(stop.state))
      editRow(rows, 'stop', stop.id, { ...at, place: place || stop.place }, context)
}

function beginTravel(
  rows: ReplayRows,
  clock_id: string | null,
  at: string,
  next: Stop | undefined,
  context: ReplayContext,
): void {
  if (clock_id === null) return
  const work = { kind: 'travel', operation: '', line_id: null, cause: null, repairs_id: null } as const
  const job_id = next?.job_id ?? null
  labor.start_clock(rows, { id: clock_id, started_at: at, ends_ids: [], job_id, ...work }, context)
}

function endTravel(rows: ReplayRows, clock_id: string | null, at: string, context: ReplayContext): void {
  if (clock_id !== null) labor.stop_clock(rows, { id: clock_id, ended_at: at }, context)
}

function noteMeter(
  rows: ReplayRows,
  machine_id: string,
  meter: HandOverMeter,
  read_on: Day,
  context: ReplayContext,
) {
  const last = rows
    .where('meter_reading', 'machine_id', machine_id)
    .sort((one, other) => one.segment - other.segment || (orderOf(one) < orderOf(other) ? -1 : 1))
    .at(-1)
  work.record_meter(rows, { new_segment: false, ...meter, machine_id, read_on }, context)
  if (meter.new_segment || !last) return ''
  return readingAnomaly(Number(meter.hours), read_on, { hours: Number(last.hours), on: last.read_on })
}

const orderOf = ({ read_on, id }: MeterReading) => `${read_on} ${id}`
