import type { CommandName, Commands } from '../domain/commands'
import type { PlanRequest, Printout, Run, Stop } from '../domain/rows'
import { isAhead, runMayBecome, stopMayBecome } from '../domain/runs'
import { born, edit, type Made, type Replays } from './made'
import type { World } from './world'

export type PlanningCommands = Extract<
  CommandName,
  | `${string}_yard`
  | 'add_rig'
  | 'edit_rig'
  | 'mend_rig'
  | 'ask_stop'
  | 'ask_urgent_stop'
  | 'edit_stop'
  | 'drop_stop'
  | 'restore_stop'
  | 'pin_stop'
  | 'move_stop'
  | 'tell_arrival'
  | 'open_run'
  | 'lock_run'
  | 'unlock_run'
  | 'cancel_run'
  | `${string}_plan`
  | `print_${string}`
>

export const planningReplays: Replays<PlanningCommands> = {
  set_up_yard: (world, args, made) =>
    world.put('yard', {
      ...born(world, 'yard', args.id, made),
      lat: null,
      lon: null,
      opens: '07:00',
      closes: '18:00',
      loading_minutes: 10,
      pickup_minutes: 20,
      return_minutes: 15,
      visit_minutes: 45,
      speed_kmh: null,
      trailer_percent: 10,
      turn_in_minutes: 4,
      tongue_low_permille: 100,
      tongue_high_permille: 150,
      least_tie_downs: 4,
      learned: world.get('yard', args.id)?.learned ?? {
        pickup_minutes: null,
        pickup_count: 0,
        return_minutes: null,
        return_count: 0,
        visit_minutes: null,
        visit_count: 0,
        drive_permille: null,
        drive_low_permille: null,
        drive_high_permille: null,
        drive_count: 0,
      },
      ...args,
    }),
  edit_yard: (world, args, made) => edit(world, 'yard', args.id, args.set, made),
  add_rig: (world, args, made) =>
    world.put('rig', {
      ...born(world, 'rig', args.id, made),
      driver_id: null,
      crew: 1,
      deck: { length_cm: null, width_cm: null, height_cm: null, slots: 1, lanes: 1 },
      trailer: null,
      truck: null,
      winch: false,
      ramp_length_cm: null,
      ramp_full_width: false,
      straps: null,
      home_lat: null,
      home_lon: null,
      shift_opens: '07:00',
      shift_closes: '17:00',
      breaks: [],
      active: true,
      out_at: world.get('rig', args.id)?.out_at ?? null,
      out_note: world.get('rig', args.id)?.out_note ?? '',
      ...args,
    }),
  edit_rig: (world, args, made) => edit(world, 'rig', args.id, args.set, made),
  // The stops that were to fetch what stands on its deck are taken out by the server.
  mend_rig: (world, args, made) => edit(world, 'rig', args.id, { out_at: null, out_note: '' }, made),

  ask_stop: askFor,
  // Which day today is only the server knows for sure.
  ask_urgent_stop: (world, args, made) =>
    askFor(world, { ...args, priority: 'first', promised_on: made.at.slice(0, 10) }, made),
  edit_stop: (world, args, made) => {
    if (isAhead(world.get('stop', args.id)?.state ?? 'left')) edit(world, 'stop', args.id, args.set, made)
  },
  drop_stop: (world, args, made) => {
    const stop = world.get('stop', args.id)
    if (stop && stopMayBecome(stop.state, 'dropped')) drop(world, stop, made)
  },
  restore_stop: (world, args, made) => {
    if (world.get('stop', args.id)?.state === 'dropped')
      edit(world, 'stop', args.id, { state: 'asked' }, made)
  },
  pin_stop: (world, args, made) => {
    const pins = { pin_rig_id: args.rig_id, pin_at: args.at, pin_after_id: args.after_id }
    if (isAhead(world.get('stop', args.id)?.state ?? 'left')) edit(world, 'stop', args.id, pins, made)
  },
  move_stop: (world, args, made) => {
    const stop = world.get('stop', args.id)
    if (!stop || !isAhead(stop.state)) return
    if (args.run_id === null) free(world, stop, made)
    else {
      const run = world.get('run', args.run_id)
      if (!run || (run.state !== 'planned' && run.state !== 'driving')) return
      putInto(world, stop, run, args.trip, args.position, made)
    }
    if (stop.run_id !== null && stop.run_id !== args.run_id) forgetFigures(world, stop.run_id, made)
  },
  tell_arrival: (world, args, made) => {
    const told = { told_from: args.opens, told_to: args.closes, told_at: made.at }
    if (isAhead(world.get('stop', args.id)?.state ?? 'left')) edit(world, 'stop', args.id, told, made)
  },

  open_run: (world, args, made) => {
    if (world.get('run', args.id)) return
    world.put('run', {
      ...born(world, 'run', args.id, made),
      driver_id: world.get('rig', args.rig_id)?.driver_id ?? null,
      state: 'planned',
      leaves_at: null,
      home_at: null,
      started_at: null,
      ended_at: null,
      metres: null,
      drive_seconds: null,
      cautions: [],
      margins: [],
      decks: [],
      legs: [],
      plan_id: null,
      ...args,
    })
  },
  lock_run: (world, args, made) => turn(world, args.id, 'locked', made),
  unlock_run: (world, args, made) => turn(world, args.id, 'planned', made),
  cancel_run: (world, args, made) => {
    turn(world, args.id, 'cancelled', made)
    if (world.get('run', args.id)?.state === 'cancelled') giveBack(world, args.id, made)
  },

  request_plan: (world, args, made) => putPlan(world, { ...args, cause: 'asked' }, made),
  // The runs come from the server: they are what it has checked.
  take_plan: (world, args, made) => {
    const plan = world.get('plan_request', args.id)
    if (plan?.state === 'done' && plan.taken_at === null)
      edit(world, 'plan_request', plan.id, { taken_at: made.at }, made)
  },
  print_run: (world, args, made) => putPrintout(world, { ...args, kind: 'run' }, made),
  print_tags: (world, args, made) => putPrintout(world, { ...args, kind: 'tags' }, made),
  print_hand_over: (world, args, made) => putPrintout(world, { ...args, kind: 'hand_over' }, made),
  cancel_plan: (world, args, made) => {
    const plan = world.get('plan_request', args.id)
    if (plan?.state === 'waiting' || plan?.state === 'running')
      edit(world, 'plan_request', plan.id, { state: 'cancelled' }, made)
  },
}

const OFF_ITS_RUN = {
  run_id: null,
  trip: 0,
  position: 0,
  arrives_from: null,
  arrives_at: null,
  arrives_to: null,
  leaves_at: null,
} as const

function askFor(world: World, { plan_id, ...args }: Commands['ask_stop'], made: Made): void {
  const site_id = args.site_id ?? world.get('job', args.job_id)?.site_id
  if (!site_id || world.get('stop', args.id)) return
  world.put('stop', { ...freshStop(world, args.id, made), ...args, site_id })
  planToday(world, plan_id, 'urgent', made)
}

/** A stop that is asked for, as it is before anything was told of it. */
export function freshStop(world: World, id: string, made: Made): Omit<Stop, 'job_id' | 'kind' | 'site_id'> {
  return {
    ...born(world, 'stop', id, made),
    ...OFF_ITS_RUN,
    lat: null,
    lon: null,
    place: '',
    windows: [],
    service_minutes: null,
    needs: [],
    priority: 'usual',
    earliest_on: null,
    promised_on: null,
    wait_until: null,
    by_daylight: false,
    notes: '',
    pin_rig_id: null,
    pin_at: null,
    pin_after_id: null,
    state: 'asked',
    told_from: null,
    told_to: null,
    told_at: null,
    arrived_at: null,
    left_at: null,
    failure: '',
    failure_note: '',
    failed_at: null,
    again_of_id: null,
    from_rig_id: null,
  }
}

/** The stops of a run in their order. */
export function stopsOf(world: World, run_id: string): Stop[] {
  return world
    .where('stop', 'run_id', run_id)
    .sort(
      (one, other) => one.trip - other.trip || one.position - other.position || (one.id < other.id ? -1 : 1),
    )
}

export function drop(world: World, stop: Stop, made: Made): void {
  edit(world, 'stop', stop.id, { ...OFF_ITS_RUN, state: 'dropped' }, made)
}

export function free(world: World, stop: Stop, made: Made): void {
  const state = stop.state === 'planned' || stop.state === 'driving' ? 'asked' : stop.state
  edit(world, 'stop', stop.id, { ...OFF_ITS_RUN, state }, made)
}

/** Every stop of a run that nobody has been to is to be planned again. */
export function giveBack(world: World, run_id: string, made: Made): void {
  for (const stop of stopsOf(world, run_id))
    if (stop.state === 'planned' || stop.state === 'driving') free(world, stop, made)
}

/** A planning of today that another command asks for; which day that is only the server knows for sure. */
export function planToday(
  world: World,
  plan_id: string | null,
  cause: PlanRequest['cause'],
  made: Made,
): void {
  if (plan_id === null) return
  putPlan(
    world,
    { id: plan_id, days: [made.at.slice(0, 10)], seed: 0, seconds: 5, from_now: true, cause },
    made,
  )
}

type Asked = Pick<PlanRequest, 'id' | 'days' | 'seed' | 'seconds' | 'from_now' | 'cause'>

function putPlan(world: World, asked: Asked, made: Made): void {
  if (world.get('plan_request', asked.id)) return
  world.put('plan_request', {
    ...born(world, 'plan_request', asked.id, made),
    ...asked,
    asked_by_id: made.member_id,
    driver_id: null,
    rounds: null,
    state: 'waiting',
    permille: 0,
    answer: null,
    error: '',
    taken_at: null,
  })
}

function putPrintout(
  world: World,
  asked: Pick<Printout, 'id' | 'kind'> & Partial<Printout>,
  made: Made,
): void {
  if (world.get('printout', asked.id)) return
  world.put('printout', {
    ...born(world, 'printout', asked.id, made),
    run_id: null,
    hand_over_id: null,
    machine_ids: [],
    state: 'waiting',
    reason: '',
    ...asked,
  })
}

function turn(world: World, id: string, state: Run['state'], made: Made): void {
  const run = world.get('run', id)
  if (run && runMayBecome(run.state, state)) edit(world, 'run', id, { state }, made)
}

function putInto(world: World, stop: Stop, run: Run, trip: number, wanted: number, made: Made): void {
  const others = stopsOf(world, run.id).filter((other) => other.id !== stop.id && other.trip === trip)
  const behind = others.filter((other) => !isAhead(other.state)).length
  const position = Math.min(Math.max(wanted, behind), others.length)
  others.splice(position, 0, stop)
  others.forEach((other, at) => {
    if (other.id !== stop.id && other.position !== at) edit(world, 'stop', other.id, { position: at }, made)
  })
  const state = stop.state === 'asked' ? 'planned' : stop.state
  edit(world, 'stop', stop.id, { run_id: run.id, trip, position, state }, made)
  forgetFigures(world, run.id, made)
}

/** What was figured of the old order holds no more. */
function forgetFigures(world: World, run_id: string, made: Made): void {
  const words = 'Moved by hand since it was figured.'
  const cautions = [{ code: 'moved_by_hand', words, stop_id: null }]
  edit(world, 'run', run_id, { cautions, margins: [], decks: [], legs: [] }, made)
}
