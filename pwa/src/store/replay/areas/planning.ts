import {
  type Commands,
  PERMISSIONS,
  type Permission,
  type PlanAnswer,
  type PlannedRun,
  type PlanRequest,
  type Rows,
  type Run,
  type Stop,
} from '../../../domain/contract'
import { isPendingStop } from '../../../domain/dispatch/runs'
import { MOVED_BY_HAND, PLACE_MOVED, PLAN_SUPERSEDED } from '../../../domain/messages/replays'
import { runMayBecome, stopMayBecome } from '../../../domain/states'
import type { ReplayRows } from '../../rows/overlay'
import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime, editRow, type ReplayContext, settingFields, todayOf } from '../context'

export const replays: ReplaysOf<'planning'> = {
  repair_rig: (rows, args, context) => {
    editRow(rows, 'rig', args.id, { out_at: null, out_note: '' }, context)
    // The rig brings home what is still on its deck.
    for (const stop of rows.all('stop'))
      if (stop.from_rig_id === args.id && (stop.state === 'asked' || stop.state === 'planned'))
        dropStop(rows, stop, context)
  },

  edit_site: editPlace('site'),
  edit_supplier: editPlace('supplier'),
  edit_stop: (rows, args, context) => {
    const before = rows.get('stop', args.id)
    editRow(rows, 'stop', args.id, args.set, context)
    const after = rows.get('stop', args.id)
    if (!before || !after) return
    if (before.site_id !== after.site_id || before.lat !== after.lat || before.lon !== after.lon)
      checkRunAgain(rows, after, context)
  },
  ask_stop: askFor,
  ask_urgent_stop: (rows, { plan_id, ...args }, context) => {
    if (rows.get('stop', args.id)) return
    const urgent = { priority: 'first', promised_on: todayOf(rows, context) } as const
    askFor(rows, { ...args, ...urgent, plan_id: null }, context)
    requestReplan(rows, plan_id, 'urgent', replanScope(rows, context), context)
  },
  ask_supplier_stop: (rows, args, context) => {
    if (!rows.get('stop', args.id)) addRow(rows, 'stop', { ...args, site_id: null, kind: 'fetch' }, context)
  },
  drop_stop: (rows, args, context) => {
    const stop = rows.get('stop', args.id)
    if (stop && stopMayBecome(stop.state, 'dropped')) dropStop(rows, stop, context)
  },
  restore_stop: settingFields(
    'stop',
    () => ({ state: 'asked' }),
    ({ state }) => state === 'dropped',
  ),
  pin_stop: settingFields(
    'stop',
    ({ rig_id, at, after_id }) => ({ pin_rig_id: rig_id, pin_at: at, pin_after_id: after_id }),
    ({ state }) => isPendingStop(state),
  ),
  move_stop: (rows, args, context) => {
    const stop = rows.get('stop', args.id)
    if (!stop || !isPendingStop(stop.state)) return
    if (args.run_id === null) unassignStop(rows, stop, context)
    else {
      const run = rows.get('run', args.run_id)
      if (!run || (run.state !== 'planned' && run.state !== 'driving')) return
      insertStop(rows, stop, run, args.trip, args.position, context)
    }
    if (stop.run_id !== null && stop.run_id !== args.run_id) clearRunFigures(rows, stop.run_id, context)
  },
  tell_arrival: settingFields(
    'stop',
    ({ opens, closes }, context) => ({
      notified_from: opens,
      notified_to: closes,
      notified_at: correctedTime(context.at, context),
    }),
    ({ state }) => isPendingStop(state),
  ),

  open_run: (rows, args, context) => {
    if (rows.get('run', args.id)) return
    addRow(rows, 'run', { ...args, driver_id: rows.get('rig', args.rig_id)?.driver_id ?? null }, context)
  },
  lock_run: settingState('locked'),
  unlock_run: settingState('planned'),
  cancel_run: (rows, args, context) => {
    settingState('cancelled')(rows, args, context)
    if (rows.get('run', args.id)?.state === 'cancelled') releaseStops(rows, args.id, context)
  },

  request_plan: (rows, args, context) => {
    if (rows.get('plan_request', args.id)) return
    const own = mayPlanRuns(rows, context) ? null : context.member_id
    const driver_id = args.from_now ? cancelPendingPlans(rows, own, context) : own
    addRow(rows, 'plan_request', { ...args, driver_id, days: args.days.toSorted() }, context)
  },
  take_plan: (rows, { id }, context) => {
    const plan = rows.get('plan_request', id)
    if (plan?.state !== 'done' || plan.taken_at !== null || plan.answer === null) return
    applyPlan(rows, plan, plan.answer, context)
    editRow(rows, 'plan_request', id, { taken_at: correctedTime(context.at, context) }, context)
  },
  cancel_plan: settingFields('plan_request', () => ({ state: 'cancelled' }), isPending),
  print_run: (rows, args, context) => addRow(rows, 'printout', { ...args, kind: 'run' }, context),
  print_tags: (rows, args, context) => addRow(rows, 'printout', { ...args, kind: 'tags' }, context),
  print_hand_over: (rows, args, context) => addRow(rows, 'printout', { ...args, kind: 'hand_over' }, context),
  print_ticket: (rows, args, context) => addRow(rows, 'printout', { ...args, kind: 'ticket' }, context),
  send_ticket: (rows, { id, job_id }, context) =>
    addRow(rows, 'printout', { id, job_id, kind: 'ticket' }, context),
}

/** Removes a stop from its run. */
const OFF_ITS_RUN = {
  run_id: null,
  trip: 0,
  position: 0,
  arrives_from: null,
  arrives_at: null,
  arrives_to: null,
  leaves_at: null,
} as const

function askFor(
  rows: ReplayRows,
  { plan_id = null, ...args }: Commands['ask_stop'],
  context: ReplayContext,
): void {
  const site_id = args.site_id ?? rows.get('job', args.job_id)?.site_id
  if (!site_id || rows.get('stop', args.id)) return
  addRow(rows, 'stop', { ...args, site_id }, context)
  if (plan_id !== null) requestReplan(rows, plan_id, 'urgent', replanScope(rows, context), context)
}

/** Edits a site or a supplier. When it moved, the runs that go there are checked again. */
function editPlace<K extends 'site' | 'supplier'>(kind: K) {
  return (rows: ReplayRows, args: Commands[`edit_${K}`], context: ReplayContext): void => {
    const before = rows.get(kind, args.id)
    editRow(rows, kind, args.id, args.set as Partial<Rows[K]>, context)
    const after = rows.get(kind, args.id)
    if (!before || !after || (before.lat === after.lat && before.lon === after.lon)) return
    // A stop with a position of its own does not go by that of its site.
    const stops = rows
      .all('stop')
      .filter((stop) => stop[`${kind}_id`] === args.id && stop.lat === null && isPendingStop(stop.state))
      .toSorted((one, other) => one.trip - other.trip || one.position - other.position)
    for (const stop of stops) checkRunAgain(rows, stop, context)
  }
}

/** Turns a plan into runs: left-out stops become unplanned, and an empty run is cancelled. */
function applyPlan(
  rows: ReplayRows,
  plan: PlanRequest,
  { runs, left_out }: PlanAnswer,
  context: ReplayContext,
): void {
  for (const { stop_id } of left_out) {
    const stop = rows.get('stop', stop_id)
    if (stop && stop.run_id !== null && !isCurrent(rows, stop)) unassignStop(rows, stop, context)
  }
  const taken = new Set(runs.map(({ run_id }) => run_id))
  for (const { id, state, day, driver_id } of rows.all('run')) {
    const is_planned = state === 'planned' && plan.days.includes(day) && !taken.has(id)
    if (is_planned && (plan.driver_id === null || plan.driver_id === driver_id))
      editRow(rows, 'run', id, { state: 'cancelled' }, context)
  }
  for (const run of runs) applyPlannedRun(rows, plan.id, run, context)
}

/** A plan of the rest of the day begins after the current stop of a run that is out. */
const isCurrent = (rows: ReplayRows, { state, run_id }: Stop): boolean =>
  state === 'driving' && run_id !== null && rows.get('run', run_id)?.state === 'driving'

function applyPlannedRun(
  rows: ReplayRows,
  plan_id: string,
  planned: PlannedRun,
  context: ReplayContext,
): void {
  const { run_id, rig_id, day, leaves_at, stops, ...figures } = planned
  const known = rows.get('run', run_id)
  const fresh = { rig_id, day, driver_id: rows.get('rig', rig_id)?.driver_id ?? null }
  const leaves = known?.state === 'driving' ? {} : { leaves_at }
  addRow(rows, 'run', { id: run_id, ...(known ? {} : fresh), ...leaves, ...figures, plan_id }, context)
  for (const { stop_id, starts_at, ...when } of stops)
    editRow(rows, 'stop', stop_id, { run_id, state: 'planned', ...when }, context)
  setCurrentStop(rows, run_id, context)
}

/** Makes the first planned stop of a driving run the current one. */
export function setCurrentStop(
  rows: ReplayRows,
  run_id: string | null,
  context: ReplayContext,
): Stop | undefined {
  if (run_id === null || rows.get('run', run_id)?.state !== 'driving') return undefined
  const ahead = stopsOf(rows, run_id).filter((stop) => stop.state === 'planned' || stop.state === 'driving')
  ahead.forEach((stop, at) => {
    const state = at === 0 ? 'driving' : 'planned'
    if (stop.state !== state) editRow(rows, 'stop', stop.id, { state }, context)
  })
  return ahead[0]
}

/** The stops of a run in their order. */
export function stopsOf(rows: ReplayRows, run_id: string): Stop[] {
  return rows
    .where('stop', 'run_id', run_id)
    .sort(
      (one, other) => one.trip - other.trip || one.position - other.position || (one.id < other.id ? -1 : 1),
    )
}

export function dropStop(rows: ReplayRows, stop: Stop, context: ReplayContext): void {
  editRow(rows, 'stop', stop.id, { ...OFF_ITS_RUN, state: 'dropped' }, context)
}

export function unassignStop(rows: ReplayRows, stop: Stop, context: ReplayContext): void {
  const state = stop.state === 'planned' || stop.state === 'driving' ? 'asked' : stop.state
  editRow(rows, 'stop', stop.id, { ...OFF_ITS_RUN, state }, context)
}

/** Unplans every open stop of a run. */
export function releaseStops(rows: ReplayRows, run_id: string, context: ReplayContext): void {
  for (const stop of stopsOf(rows, run_id))
    if (stop.state === 'planned' || stop.state === 'driving') unassignStop(rows, stop, context)
}

/**
 * Requests a new plan of the rest of today. Without an id the server makes one if the shop uses planning. `driver_id`:
 * only the run of this member may change.
 */
export function requestReplan(
  rows: ReplayRows,
  id: string | null,
  cause: PlanRequest['cause'],
  driver_id: string | null,
  context: ReplayContext,
): void {
  if (id === null ? !rows.all('yard').some(({ lat }) => lat !== null) : rows.get('plan_request', id)) return
  const driver = cancelPendingPlans(rows, driver_id, context)
  if (id === null) return
  const days = [todayOf(rows, context)]
  addRow(rows, 'plan_request', { id, days, from_now: true, cause, driver_id: driver }, context)
}

/** The member whose run alone may be replanned: one who drives today and may not plan for others. */
export function replanScope(rows: ReplayRows, context: ReplayContext): string | null {
  if (mayPlanRuns(rows, context)) return null
  const today = todayOf(rows, context)
  const drives = rows
    .where('run', 'day', today)
    .some((run) => run.driver_id === context.member_id && isLive(run))
  return drives ? context.member_id : null
}

function mayPlanRuns(rows: ReplayRows, { member_id }: ReplayContext): boolean {
  const role = rows.get('member', member_id)?.role ?? 'owner'
  // A role that only a newer server knows has no permissions here.
  const may: readonly Permission[] | undefined = PERMISSIONS[role]
  return may?.includes('plan_runs') ?? false
}

/** Ahead or under way. */
export function isLive({ state }: Run): boolean {
  return state !== 'done' && state !== 'cancelled'
}

function isPending({ state }: PlanRequest): boolean {
  return state === 'waiting' || state === 'running'
}

/**
 * Stops unfinished plans of the rest of today, which are outdated. Returns the member whose run alone the next one may
 * change: none where a stopped one was for others too.
 */
function cancelPendingPlans(
  rows: ReplayRows,
  driver_id: string | null,
  context: ReplayContext,
): string | null {
  let whose = driver_id
  for (const plan of rows.all('plan_request')) {
    if (!plan.from_now || !isPending(plan)) continue
    if (plan.driver_id !== whose) whose = null
    editRow(rows, 'plan_request', plan.id, { state: 'cancelled', error: PLAN_SUPERSEDED }, context)
  }
  return whose
}

function settingState(state: Run['state']) {
  return settingFields(
    'run',
    () => ({ state }),
    (run) => runMayBecome(run.state, state),
  )
}

function insertStop(
  rows: ReplayRows,
  stop: Stop,
  run: Run,
  trip: number,
  wanted: number,
  context: ReplayContext,
): void {
  const others = stopsOf(rows, run.id).filter((other) => other.id !== stop.id && other.trip === trip)
  const behind = others.filter((other) => !isPendingStop(other.state)).length
  const position = Math.min(Math.max(wanted, behind), others.length)
  others.splice(position, 0, stop)
  others.forEach((other, at) => {
    if (other.id !== stop.id && other.position !== at)
      editRow(rows, 'stop', other.id, { position: at }, context)
  })
  const state = stop.state === 'asked' ? 'planned' : stop.state
  editRow(rows, 'stop', stop.id, { run_id: run.id, trip, position, state }, context)
  clearRunFigures(rows, run.id, context)
}

const MOVED = {
  code: 'moved_by_hand',
  message: 'moved_by_hand',
  context: {},
  words: MOVED_BY_HAND,
  stop_id: null,
} as const

/** Clears figures of the old order, or of the old place. */
function clearRunFigures(
  rows: ReplayRows,
  run_id: string,
  context: ReplayContext,
  caution: Run['cautions'][number] = MOVED,
): void {
  editRow(rows, 'run', run_id, { cautions: [caution], margins: [], decks: [], legs: [] }, context)
}

/** The run of a stop whose place moved: a planned one is computed again, others say what is no longer right. */
function checkRunAgain(rows: ReplayRows, stop: Stop, context: ReplayContext): void {
  const run = stop.run_id === null ? undefined : rows.get('run', stop.run_id)
  if (!run || !isLive(run)) return
  const code = 'place_moved'
  const caution = { code, message: code, context: {}, words: PLACE_MOVED, stop_id: stop.id } as const
  if (run.state === 'planned') clearRunFigures(rows, run.id, context, caution)
  else if (!run.cautions.some((each) => each.code === code && each.stop_id === stop.id))
    editRow(rows, 'run', run.id, { cautions: [...run.cautions, caution] }, context)
}
