/** The moves that a key or the pointer makes on the board. */
import { type LaneView, viewLane } from './lanes.ts'
import {
  applyMoves,
  type BoardMove,
  type BoardPlan,
  type Lane,
  laneOf,
  type Refusal,
  refusalOf,
} from './plan.ts'

type Tried = BoardMove | Refusal

const STEP_S = 300

/** To start at the next or the last full five minutes, by hand. */
export function shiftStart(plan: BoardPlan, key: string, by: -1 | 1): Tried {
  const refusal = refusalOf(plan, key)
  if (refusal) return refusal
  const lane = laneOf(plan, key)
  const block = lane && viewLane(plan, lane).blocks.find(({ stop }) => stop === key)
  if (!block) return 'waits'
  const step = by > 0 ? Math.floor(block.starts / STEP_S) + 1 : Math.ceil(block.starts / STEP_S) - 1
  return { kind: 'start', stop: key, at: step * STEP_S }
}

/** To start at a time, in full five minutes; null: as the drive allows. */
export function setStartAt(plan: BoardPlan, key: string, at: number | null): Tried {
  const refusal = refusalOf(plan, key)
  if (refusal) return refusal
  if (!laneOf(plan, key)) return 'waits'
  return { kind: 'start', stop: key, at: at === null ? null : Math.round(at / STEP_S) * STEP_S }
}

/** Before or after its neighbor on the same rig; at the edge of a trip: into the trip beside it. */
export function shiftOrder(plan: BoardPlan, key: string, by: -1 | 1): Tried {
  const refusal = refusalOf(plan, key)
  if (refusal) return refusal
  const lane = laneOf(plan, key)
  if (!lane) return 'waits'
  const at = lane.slots.findIndex(({ stop }) => stop === key)
  const own = lane.slots[at]
  const other = lane.slots[at + by]
  if (!own || !other || plan.stops.get(other.stop)?.pending !== true) return 'no_neighbor'
  const to = { kind: 'place', stop: key, rig: lane.rig.key, trip: other.trip } as const
  if (own.trip !== other.trip) return { ...to, before: by > 0 ? other.stop : null }
  const behind = by > 0 ? lane.slots[at + 2] : other
  return { ...to, before: behind?.trip === other.trip ? behind.stop : null }
}

/** To the next rig above or below that takes stops, at the time it has now. */
export function shiftRig(plan: BoardPlan, key: string, by: -1 | 1): Tried {
  const refusal = refusalOf(plan, key)
  if (refusal) return refusal
  const from = plan.lanes.findIndex(({ slots }) => slots.some(({ stop }) => stop === key))
  // A waiting stop comes from below the last rig.
  const at = from < 0 ? plan.lanes.length : from
  const beyond = by < 0 ? plan.lanes.slice(0, at).reverse() : plan.lanes.slice(at + 1)
  const lane = beyond.find(takesStops)
  if (!lane) return 'no_rig'
  const own = plan.lanes[from]
  const starts = own && viewLane(plan, own).blocks.find(({ stop }) => stop === key)?.starts
  return toRig(plan, key, lane.rig.key, starts ?? lane.rig.shift.closes)
}

const takesStops = (lane: Lane) => !lane.locked && !lane.over && lane.drives

/** To a rig, in the order of starting times. */
export function toRig(plan: BoardPlan, key: string, rig: string, starts: number): Tried {
  const refusal = refusalOf(plan, key)
  if (refusal) return refusal
  const lane = plan.lanes.find((each) => each.rig.key === rig)
  if (!lane) return 'no_rig'
  if (lane.locked || lane.over) return lane.over ? 'over' : 'locked'
  if (!lane.drives && lane !== laneOf(plan, key)) return 'no_rig'
  const others = viewLane(plan, lane).blocks.filter(({ stop }) => stop !== key)
  const next = others.find((block) => block.pending && block.starts > starts)
  const tripOf = (stop: string | undefined) => lane.slots.find((slot) => slot.stop === stop)?.trip
  const trip = tripOf(next?.stop ?? others.at(-1)?.stop) ?? 0
  return { kind: 'place', stop: key, rig, trip, before: next?.stop ?? null }
}

/** Where the pointer drops it: on another rig or behind another stop by its time, else with that start. */
export function dropAt(plan: BoardPlan, key: string, rig: string, starts: number): Tried {
  const place = toRig(plan, key, rig, starts)
  const lane = laneOf(plan, key)
  if (typeof place === 'string' || lane?.rig.key !== rig) return place
  const others = viewLane(plan, lane).blocks.filter(({ stop }) => stop !== key)
  const behind = others.filter((block) => !block.pending || block.starts <= starts).length
  return behind === lane.slots.findIndex(({ stop }) => stop === key) ? setStartAt(plan, key, starts) : place
}

export function leaveOut(plan: BoardPlan, key: string): Tried {
  return refusalOf(plan, key) ?? (laneOf(plan, key) ? { kind: 'out', stop: key } : 'waits')
}

export function toggleLock(plan: BoardPlan, rig: string): Tried {
  const lane = plan.lanes.find((each) => each.rig.key === rig)
  if (!lane?.run) return 'no_run'
  return lane.over || lane.from ? 'over' : { kind: 'lock', rig, locked: !lane.locked }
}

/**
 * The place for a waiting stop that breaks the fewest rules, and of those the one that brings its rig home with the
 * least more time.
 */
export function bestPlace(plan: BoardPlan, key: string): Tried {
  const tried = plan.lanes.filter(takesStops).flatMap((lane) => {
    const before = viewLane(plan, { ...lane, current: false })
    const ends = [...new Set(lane.slots.map(({ trip }) => trip)), ...(lane.slots.length ? [] : [0])]
    const places = [
      ...lane.slots
        .filter(({ stop }) => plan.stops.get(stop)?.pending)
        .map(({ stop, trip }) => ({ trip, before: stop as string | null })),
      ...ends.map((trip) => ({ trip, before: null })),
    ]
    return places.map((place): { move: BoardMove; faults: number; longer: number } => {
      const move = { kind: 'place', stop: key, rig: lane.rig.key, ...place } as const
      const after = applyMoves(plan, [move]).lanes.find(({ rig }) => rig.key === lane.rig.key) ?? lane
      const view = viewLane(plan, after)
      const late = view.blocks.filter(({ off }) => off !== 0).length
      return {
        move,
        faults: (view.check?.faults.length ?? 0) + late,
        longer: lengthOf(view) - lengthOf(before),
      }
    })
  })
  const best = tried.sort((a, b) => a.faults - b.faults || a.longer - b.longer)[0]
  return best?.move ?? 'no_rig'
}

/** Seconds from the yard to the yard. */
function lengthOf({ blocks, home }: LaneView): number {
  const [first] = blocks
  return home === null || !first ? 0 : home - first.starts + (first.drive ?? 0)
}
