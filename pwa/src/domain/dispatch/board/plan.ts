/**
 * The planning board of a day: rigs with their stops in order, and moves of stops that are tried before they are sent.
 *
 * A draft is a list of moves, applied to what is stored: what others change meanwhile stays, and a move that no longer
 * applies is left out. Seconds since 1970.
 */
import type { RouteDay, RouteRig, RouteStop, TimeWindow } from '../routeCheck.ts'

export interface BoardStop {
  /** As checked, but its windows are those without a fixed start. */
  route: RouteStop
  /** When work is to begin exactly, by hand; null: as it comes. */
  fixedAt: number | null
  /** The fixed start as stored. A stop that goes to another rig has that again: one tried for the former rig is void. */
  storedAt: number | null
  promised: TimeWindow | null
  /** Work from and to as last planned, or as it was. */
  planned: { starts: number; leaves: number } | null
  /** Driving seconds to it as last planned. */
  drive: number | null
  /** Nobody has been to it yet. */
  pending: boolean
}

export interface Slot {
  stop: string
  trip: number
}

export interface Lane {
  rig: RouteRig
  /** Its run of the day; null: it has none yet. */
  run: string | null
  /** Nobody moves its stops: locked, or over. */
  locked: boolean
  over: boolean
  /** It has a driver, and is not broken down. */
  drives: boolean
  from: RouteDay['from']
  /** Its planned times still hold: nothing was moved by hand since. */
  current: boolean
  slots: readonly Slot[]
}

export interface BoardPlan {
  day: Omit<RouteDay, 'from'>
  stops: ReadonlyMap<string, BoardStop>
  lanes: readonly Lane[]
  /** Stops on no run of the day. */
  waiting: readonly string[]
}

export type BoardMove =
  | { kind: 'start'; stop: string; at: number | null }
  /** To a rig and a trip, before another stop; without one: at the end of the trip. */
  | { kind: 'place'; stop: string; rig: string; trip: number; before: string | null }
  | { kind: 'out'; stop: string }
  | { kind: 'lock'; rig: string; locked: boolean }

/** Why a stop cannot be moved. */
export type Refusal = 'locked' | 'over' | 'done' | 'no_rig' | 'no_neighbor' | 'no_run' | 'waits'

export const laneOf = (plan: BoardPlan, stop: string): Lane | undefined =>
  plan.lanes.find(({ slots }) => slots.some((slot) => slot.stop === stop))

/** Why a stop stays where it is; null: it may be moved. */
export function refusalOf(plan: BoardPlan, key: string): Refusal | null {
  const lane = laneOf(plan, key)
  if (plan.stops.get(key)?.pending !== true) return 'done'
  if (lane?.over) return 'over'
  return lane?.locked ? 'locked' : null
}

/** The plan with the moves made in order. A move that does not apply changes nothing. */
export const applyMoves = (plan: BoardPlan, moves: readonly BoardMove[]): BoardPlan =>
  moves.reduce(apply, plan)

function apply(plan: BoardPlan, move: BoardMove): BoardPlan {
  if (move.kind === 'lock')
    return changeLane(plan, move.rig, (lane) => (lane.over ? lane : { ...lane, locked: move.locked }))
  if (refusalOf(plan, move.stop) !== null) return plan
  if (move.kind === 'start') return setStart(plan, move.stop, move.at)
  if (move.kind === 'out') {
    if (plan.waiting.includes(move.stop)) return plan
    return { ...takeOff(plan, move.stop), waiting: [...plan.waiting, move.stop] }
  }
  const to = plan.lanes.find(({ rig }) => rig.key === move.rig)
  if (!to || to.locked || to.over) return plan
  const left = takeOff(plan, move.stop)
  const stop = plan.stops.get(move.stop)
  const stays = !stop || stop.fixedAt === stop.storedAt || laneOf(plan, move.stop) === to
  const stops = stays ? plan.stops : new Map(plan.stops).set(move.stop, { ...stop, fixedAt: stop.storedAt })
  return changeLane({ ...left, stops }, move.rig, (lane) => ({
    ...lane,
    current: false,
    slots: insert(plan, lane.slots, move),
  }))
}

function setStart(plan: BoardPlan, key: string, at: number | null): BoardPlan {
  const stop = plan.stops.get(key)
  const lane = laneOf(plan, key)
  if (!stop || !lane || stop.fixedAt === at) return plan
  const stops = new Map(plan.stops).set(key, { ...stop, fixedAt: at })
  return changeLane({ ...plan, stops }, lane.rig.key, (each) => ({ ...each, current: false }))
}

function takeOff(plan: BoardPlan, key: string): BoardPlan {
  const from = laneOf(plan, key)
  const rest = { ...plan, waiting: plan.waiting.filter((stop) => stop !== key) }
  if (!from) return rest
  return changeLane(rest, from.rig.key, (lane) => ({
    ...lane,
    current: false,
    slots: lane.slots.filter(({ stop }) => stop !== key),
  }))
}

function insert(plan: BoardPlan, slots: readonly Slot[], move: BoardMove & { kind: 'place' }): Slot[] {
  const slot = { stop: move.stop, trip: move.trip }
  const before = slots.findIndex(({ stop, trip }) => stop === move.before && trip === move.trip)
  const later = slots.findIndex(({ trip }) => trip > move.trip)
  // Behind what is done already, as the server has it.
  const done = slots.findLastIndex(({ stop }) => plan.stops.get(stop)?.pending === false) + 1
  const at = Math.max(done, before >= 0 ? before : later >= 0 ? later : slots.length)
  return [...slots.slice(0, at), slot, ...slots.slice(at)]
}

function changeLane(plan: BoardPlan, rig: string, change: (lane: Lane) => Lane): BoardPlan {
  return { ...plan, lanes: plan.lanes.map((lane) => (lane.rig.key === rig ? change(lane) : lane)) }
}
