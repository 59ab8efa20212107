/**
 * Checks an order made by hand, as far as a phone can calculate it: access, pins, loads, the deck's order, times.
 * Twin of `check_route` in `shopapi/planner/check.py` and of `estimate` in `travel.py`, both run by the vectors
 * of `fixtures/dispatch`. Left to the server: tongue and ratings, daylight, breaks, and real roads.
 *
 * Whole seconds since any common zero, kilograms, centimetres.
 */

import { type JobStopKind, type Need, SAME_PLACE_METRES } from '../contract.ts'
import { type Position, straightMetres } from '../geo/places.ts'
import { type DeckRoom, findBlocked, type Piece } from './deck.ts'
import { tieDownsFor } from './tieDowns.ts'

export interface TimeWindow {
  opens: number
  closes: number
}

export interface RouteStop {
  key: string
  kind: JobStopKind
  position: Position | null
  windows: readonly TimeWindow[]
  /** Seconds of work there. */
  service: number
  needs: readonly Need[]
  piece: Piece | null
  /** Pinned to this rig, and to come after this stop. */
  rig: string | null
  after: string | null
}

export interface RouteRig {
  key: string
  payload_kg: number
  slots: number
  deck: DeckRoom | null
  /** Whether it tows a trailer. */
  tows: boolean
  /** Tie-downs carried, and how many kilograms of each count; null where not entered. */
  straps: number | null
  strapCounts: number | null
  has: readonly Need[]
  shift: TimeWindow
}

/** How the shop drives. Twin of `Habits`. */
export interface DrivingHabits {
  bands: readonly { up_to: number | null; detour: number; km_per_hour: number }[]
  trailer: number
  per_stop: number
}

export interface RouteDay {
  yard: Position | null
  loading: number
  /** The least number of tie-downs per machine, set by the shop. */
  leastTieDowns: number
  habits: DrivingHabits
  /** Where a rig on the road is, when it can continue, and what is on its deck, front first. */
  from: { position: Position | null; at: number; aboard: readonly LoadedPiece[] } | null
}

/** A machine on the deck; its piece is null where its size was not entered. */
export interface LoadedPiece {
  key: string
  piece: Piece | null
}

export type RouteFaultCode =
  | 'access'
  | 'pinned'
  | 'order'
  | 'load'
  | 'deck_space'
  | 'deck_order'
  | 'straps'
  | 'window'
  | 'shift'

export interface RouteFault {
  code: RouteFaultCode
  stop: string
  /** Kilograms or machines too many, tie-downs too few, or seconds too late. */
  over?: number
  dimension?: number
  /** The other stop, or the thing that is missing. */
  other?: string
}

export interface RouteVisit {
  stop: string
  arrives: number
  starts: number
  leaves: number
}

export interface RouteCheck {
  faults: RouteFault[]
  visits: RouteVisit[]
  home: number | null
  /** What is not known, so that it was not checked. */
  noSize: string[]
  noPlace: string[]
  noStraps: boolean
}

export const DEFAULT_SPEED_BANDS = [
  { up_to: 5_000, detour: 1.4, km_per_hour: 30 },
  { up_to: 40_000, detour: 1.3, km_per_hour: 45 },
  { up_to: null, detour: 1.2, km_per_hour: 65 },
] as const

/** Tolerance of floating-point sums, kilograms and centimetres. */
const GRAIN = 1e-6

/** Seconds of a drive, including turning in at its end; slower where the rig tows a trailer. */
export function driveSeconds(
  habits: DrivingHabits,
  tows: boolean,
  one: Position,
  other: Position,
  toYard: boolean,
): number {
  const straight = straightMetres(one, other)
  let seconds = 0
  let begun = 0
  for (const { up_to, detour, km_per_hour } of habits.bands) {
    const part = (up_to === null ? straight : Math.min(straight, up_to)) - begun
    if (part <= 0) break
    seconds += (part * detour) / (km_per_hour / 3.6)
    begun += part
  }
  return (
    Math.ceil(seconds * (tows ? habits.trailer : 1)) +
    (straight > SAME_PLACE_METRES && !toYard ? habits.per_stop : 0)
  )
}

/** Checks the order of a rig's stops, trip by trip. Returns the first fault of each kind of rule. */
export function checkRoute(
  rig: RouteRig,
  day: RouteDay,
  trips: readonly (readonly RouteStop[])[],
): RouteCheck {
  const stops = trips.flat()
  const found = [mayCarry(rig, day, trips), stand(rig, day, trips), tied(rig, day, trips)].filter(
    (fault) => fault !== null,
  )
  const noSize = stops.filter((stop) => stop.kind !== 'visit' && stop.piece === null).map(({ key }) => key)
  const noPlace = stops.filter((stop) => stop.position === null).map(({ key }) => key)
  const { visits, home, fault } = timed(rig, day, trips)
  const noStraps = rig.straps === null && stops.some(({ kind }) => kind !== 'visit')
  return { faults: fault ? [...found, fault] : found, visits, home, noSize, noPlace, noStraps }
}

function mayCarry(rig: RouteRig, day: RouteDay, trips: readonly (readonly RouteStop[])[]): RouteFault | null {
  const before = new Set<string>()
  for (const [number, trip] of trips.entries()) {
    for (const stop of trip) {
      const missing = stop.needs.filter((need) => !rig.has.includes(need)).sort()[0]
      if (missing !== undefined) return { code: 'access', stop: stop.key, other: missing }
      if (stop.rig !== null && stop.rig !== rig.key) return { code: 'pinned', stop: stop.key }
      if (stop.after !== null && !before.has(stop.after))
        return { code: 'order', stop: stop.key, other: stop.after }
      before.add(stop.key)
    }
    const keys = new Set(trip.map(({ key }) => key))
    const carried = number === 0 ? (day.from?.aboard ?? []).filter(({ key }) => !keys.has(key)) : []
    const wrong = loads(rig, trip, carried)
    if (wrong) return wrong
  }
  return null
}

function loads(
  rig: RouteRig,
  trip: readonly RouteStop[],
  carried: readonly LoadedPiece[],
): RouteFault | null {
  const length = rig.deck ? rig.deck.length_cm * rig.deck.lanes : Number.POSITIVE_INFINITY
  const most = [rig.payload_kg, length, rig.slots]
  const takes = ({ piece }: LoadedPiece, dimension: number) =>
    [piece?.kg ?? 0, piece?.length_cm ?? 0, 1][dimension] ?? 0
  const of = (stop: RouteStop, dimension: number) => (stop.kind === 'visit' ? 0 : takes(stop, dimension))
  for (const [dimension, limit] of most.entries()) {
    const returns = trip.filter(({ kind }) => kind === 'return')
    let load = [...returns, ...carried].reduce((sum, each) => sum + takes(each, dimension), 0)
    if (load > limit + GRAIN) {
      const worst = trip.reduce((one, other) => {
        const brought = (stop: RouteStop) => (stop.kind === 'return' ? of(stop, dimension) : 0)
        return brought(other) > brought(one) ? other : one
      })
      return { code: 'load', stop: worst.key, over: load - limit, dimension }
    }
    for (const stop of trip) {
      load += of(stop, dimension) * (stop.kind === 'return' ? -1 : 1)
      if (load > limit + GRAIN) return { code: 'load', stop: stop.key, over: load - limit, dimension }
    }
  }
  return null
}

function stand(rig: RouteRig, day: RouteDay, trips: readonly (readonly RouteStop[])[]): RouteFault | null {
  if (rig.deck === null) return null
  const aboard = day.from?.aboard ?? []
  const known = new Map(
    [...aboard, ...trips.flat()].flatMap(({ key, piece }) => (piece ? [[key, piece] as const] : [])),
  )
  for (const [number, trip] of trips.entries()) {
    const stops = trip.filter((stop) => stop.kind !== 'visit' && stop.piece !== null)
    const moves = stops.map(({ key, kind }) => ({ key, on: kind === 'pickup' }))
    const fixed = number === 0 && day.from !== null
    const atStart = fixed
      ? aboard.map(({ key }) => key).filter((key) => known.has(key))
      : stops.filter(({ kind }) => kind === 'return').map(({ key }) => key)
    const blocked = findBlocked(rig.deck, known, atStart, moves, fixed)
    if (blocked?.by) return { code: 'deck_order', stop: blocked.key, other: blocked.by }
    if (blocked) return { code: 'deck_space', stop: blocked.key }
  }
  return null
}

/** Tie-downs needed on each leg of each trip against those carried. */
function tied(rig: RouteRig, day: RouteDay, trips: readonly (readonly RouteStop[])[]): RouteFault | null {
  if (rig.straps === null) return null
  const there = rig.straps
  const each = { least: day.leastTieDowns, counts: rig.strapCounts }
  for (const [number, trip] of trips.entries()) {
    const begins = number === 0 && day.from ? day.from.aboard : trip.filter(({ kind }) => kind === 'return')
    const aboard = new Map(begins.map(({ key, piece }) => [key, piece] as const))
    const tooMany = (): RouteFault | null => {
      const needed = [...aboard.values()].reduce((sum, piece) => sum + tieDownsFor(piece, each), 0)
      const last = [...aboard.keys()].at(-1)
      return needed > there && last !== undefined
        ? { code: 'straps', stop: last, over: needed - there }
        : null
    }
    const leaving = tooMany()
    if (leaving) return leaving
    for (const { key, kind, piece } of trip) {
      if (kind === 'visit') continue
      if (kind === 'return') aboard.delete(key)
      else aboard.set(key, piece)
      const fault = tooMany()
      if (fault) return fault
    }
  }
  return null
}

interface Walk {
  visits: RouteVisit[]
  home: number | null
  fault: RouteFault | null
  /** Seconds too late at all stops together. */
  late: number
}

/** The timetable with the earliest return and, for that, the latest departure. */
function timed(rig: RouteRig, day: RouteDay, trips: readonly (readonly RouteStop[])[]): Walk {
  const first = walk(day, rig.tows, trips, day.from ? day.from.at : rig.shift.opens)
  if (first.fault || first.home === null) return first
  const last = trips.flat().at(-1)
  if (first.home > rig.shift.closes && last)
    return { ...first, fault: { code: 'shift', stop: last.key, over: first.home - rig.shift.closes } }
  return day.from ? first : latest(rig, day, trips, first, false)
}

/**
 * When the rig is at each stop, even where it comes too late; drives to and from unknown positions take no time. The
 * departure is the latest that costs no time and makes nothing later.
 */
export function timetable(
  rig: RouteRig,
  day: RouteDay,
  trips: readonly (readonly RouteStop[])[],
): Pick<Walk, 'visits' | 'home'> {
  const first = walk(day, rig.tows, trips, day.from ? day.from.at : rig.shift.opens, true)
  return day.from ? first : latest(rig, day, trips, first, true)
}

/** The walk with the latest departure that is home as early and as little late as `first`. */
function latest(
  rig: RouteRig,
  day: RouteDay,
  trips: readonly (readonly RouteStop[])[],
  first: Walk,
  whole: boolean,
): Walk {
  let [low, high] = [rig.shift.opens, first.home ?? rig.shift.opens]
  while (low < high) {
    const middle = Math.floor((low + high + 1) / 2)
    const tried = walk(day, rig.tows, trips, middle, whole)
    const asEarly = tried.home !== null && first.home !== null && tried.home <= first.home
    if (asEarly && tried.late <= first.late) low = middle
    else high = middle - 1
  }
  return walk(day, rig.tows, trips, low, whole)
}

/** Drives the trips in order. `whole`: goes on after a stop that is too late or has no position. */
function walk(
  day: RouteDay,
  tows: boolean,
  trips: readonly (readonly RouteStop[])[],
  start: number,
  whole = false,
): Walk {
  const done: Walk = { visits: [], home: null, fault: null, late: 0 }
  let now = start
  let here = day.from ? day.from.position : day.yard
  const drive = (to: Position | null, toYard: boolean): boolean => {
    if (here && to) now += driveSeconds(day.habits, tows, here, to, toYard)
    const known = here !== null && to !== null
    here = to
    return known || whole
  }
  for (const [number, trip] of trips.entries()) {
    if (number > 0 || day.from === null) now += day.loading
    for (const stop of trip) {
      if (!drive(stop.position, false)) return done
      const arrives = now
      const late = secondsLate(stop, arrives)
      done.late += late
      if (late > 0) done.fault ??= { code: 'window', stop: stop.key, over: late }
      if (late > 0 && !whole) return done
      const starts = startAt(stop.windows, arrives)
      now = starts + stop.service
      done.visits.push({ stop: stop.key, arrives, starts, leaves: now })
    }
    if (!drive(day.yard, true)) return done
  }
  return { ...done, home: now }
}

/** When work begins after an arrival: in the first window that is still open, at once where there is none. */
export function startAt(windows: readonly TimeWindow[], arrives: number): number {
  const open = windows.filter(({ closes }) => arrives <= closes)
  return open.length > 0 ? Math.min(...open.map(({ opens }) => Math.max(arrives, opens))) : arrives
}

function secondsLate({ windows }: RouteStop, arrives: number): number {
  return windows.length > 0 ? Math.max(0, arrives - Math.max(...windows.map(({ closes }) => closes))) : 0
}
