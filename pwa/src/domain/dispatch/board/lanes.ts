/** What a lane of the board shows: when the rig is where, and what the check says of it. */
import { checkRoute, driveSeconds, type RouteCheck, type RouteStop, timetable } from '../routeCheck.ts'
import type { BoardPlan, BoardStop, Lane } from './plan.ts'

export interface Block {
  stop: string
  starts: number
  leaves: number
  /** Driving seconds to it; null: not known. */
  drive: number | null
  /** Seconds later than promised to the customer; below zero: earlier. Zero where nothing is promised. */
  off: number
  /** A machine to load or unload whose weight or length is not entered. */
  unweighed: boolean
  pending: boolean
}

export interface LaneView {
  blocks: Block[]
  /** The drive home, and when it ends; null: not known. */
  homeDrive: number | null
  home: number | null
  /** The phone's check of what is still to be driven; null where the planned times still hold. */
  check: RouteCheck | null
}

/** The blocks of a lane by its plan where that still holds, else by the phone's own timetable. */
export function viewLane(plan: BoardPlan, lane: Lane): LaneView {
  const ahead = aheadOf(plan, lane)
  const day = { ...plan.day, from: lane.from }
  const holds =
    lane.current && lane.slots.every(({ stop }) => plan.stops.get(stop)?.planned || !isPending(plan, stop))
  const { visits, home } = timetable(lane.rig, day, ahead)
  const computed = new Map(visits.map((visit) => [visit.stop, visit]))
  let here = lane.from ? null : plan.day.yard
  let trip = lane.slots[0]?.trip
  const blocks: Block[] = []
  for (const slot of lane.slots) {
    const stop = plan.stops.get(slot.stop)
    const when =
      stop && (stop.pending && !holds ? computed.get(slot.stop) : (stop.planned ?? computed.get(slot.stop)))
    if (slot.trip !== trip) here = plan.day.yard
    trip = slot.trip
    if (stop && when) {
      const { starts, leaves } = when
      const guess = driveTo(plan, lane, here, stop.route.position)
      const drive = holds ? (stop.drive ?? guess) : guess
      const unweighed = stop.route.kind !== 'visit' && stop.route.piece === null
      blocks.push({
        stop: slot.stop,
        starts,
        leaves,
        drive,
        off: offPromise(stop, starts),
        unweighed,
        pending: stop.pending,
      })
    }
    here = stop?.route.position ?? null
  }
  const homeDrive =
    here && plan.day.yard ? driveSeconds(plan.day.habits, lane.rig.tows, here, plan.day.yard, true) : null
  const last = blocks.at(-1)
  const back = holds ? (last && homeDrive !== null ? last.leaves + homeDrive : null) : home
  return {
    blocks,
    homeDrive,
    home: back,
    check: holds || ahead.length === 0 ? null : checkRoute(lane.rig, day, ahead),
  }
}

const isPending = (plan: BoardPlan, key: string) => plan.stops.get(key)?.pending === true

/** The pending stops of a lane by trip, with fixed starts as their windows. */
function aheadOf(plan: BoardPlan, lane: Lane): RouteStop[][] {
  const trips = new Map<number, RouteStop[]>()
  for (const { stop: key, trip } of lane.slots) {
    const stop = plan.stops.get(key)
    if (!stop?.pending) continue
    const { fixedAt, route } = stop
    const windows = fixedAt === null ? route.windows : [{ opens: fixedAt, closes: fixedAt }]
    trips.set(trip, [...(trips.get(trip) ?? []), { ...route, windows }])
  }
  return [...trips.values()]
}

function driveTo(
  plan: BoardPlan,
  lane: Lane,
  here: RouteStop['position'],
  there: RouteStop['position'],
): number | null {
  return here && there ? driveSeconds(plan.day.habits, lane.rig.tows, here, there, false) : null
}

function offPromise({ promised }: BoardStop, starts: number): number {
  if (!promised) return 0
  return starts > promised.closes ? starts - promised.closes : Math.min(0, starts - promised.opens)
}

/** The span of hours that holds all lanes and blocks, in whole hours. */
export function hoursOf(plan: BoardPlan, views: readonly LaneView[]): [from: number, to: number] {
  const hour = 3600
  const edges = [
    ...plan.lanes.flatMap(({ rig }) => [rig.shift.opens, rig.shift.closes]),
    ...views.flatMap(({ blocks, home }) => [
      ...blocks.flatMap(({ starts, leaves, drive }) => [starts - (drive ?? 0), leaves]),
      ...(home === null ? [] : [home]),
    ]),
  ]
  return [Math.floor(Math.min(...edges) / hour) * hour, Math.ceil(Math.max(...edges) / hour) * hour]
}
