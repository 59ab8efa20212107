/**
 * Whether an order made by hand holds, as far as a phone can reckon it: access, pins, loads, the deck's order, times.
 * Twin of `check_route` in `shopapi/dispatch/rules/check.py` and of `estimate` in `travel.py`, both run by the vectors
 * of `fixtures/dispatch`. Left to the server: tongue and ratings, tie-downs, daylight, breaks, and real roads.
 *
 * Whole seconds from any one zero, kilograms, centimetres.
 */
import { blockedOn, type DeckRoom, type Piece } from './deck.ts'
import { type Position, straightMetres } from './places.ts'
import type { Need, StopKind } from './rows'

export interface Span {
  opens: number
  closes: number
}

export interface HandStop {
  key: string
  kind: StopKind
  position: Position | null
  windows: readonly Span[]
  /** Seconds of work there. */
  service: number
  needs: readonly Need[]
  piece: Piece | null
  /** Pinned to this rig, and to come after this stop. */
  rig: string | null
  after: string | null
}

export interface HandRig {
  key: string
  payload_kg: number
  slots: number
  deck: DeckRoom | null
  has: readonly Need[]
  shift: Span
}

/** How the shop drives. Twin of `Habits`. */
export interface Habits {
  bands: readonly { up_to: number | null; detour: number; km_per_hour: number }[]
  trailer: number
  per_stop: number
}

export interface HandDay {
  yard: Position | null
  loading: number
  habits: Habits
  /** Where a rig on the road is, when it goes on, and what stands on its deck, front first. */
  from: { position: Position | null; at: number; aboard: readonly Aboard[] } | null
}

/** A machine on the deck; its piece is null where nobody entered its size. */
export interface Aboard {
  key: string
  piece: Piece | null
}

export type FaultCode =
  | 'access'
  | 'pinned'
  | 'order'
  | 'load'
  | 'deck_space'
  | 'deck_order'
  | 'window'
  | 'shift'

export interface HandFault {
  code: FaultCode
  stop: string
  /** Kilograms or machines too many, or seconds too late. */
  over?: number
  dimension?: number
  /** The other stop, or the thing that is missing. */
  other?: string
}

export interface HandVisit {
  stop: string
  arrives: number
  starts: number
  leaves: number
}

export interface HandCheck {
  faults: HandFault[]
  visits: HandVisit[]
  home: number | null
  /** What is not known, so that nothing was said of it. */
  noSize: string[]
  noPlace: string[]
}

export const USUAL_BANDS = [
  { up_to: 5_000, detour: 1.4, km_per_hour: 30 },
  { up_to: 40_000, detour: 1.3, km_per_hour: 45 },
  { up_to: null, detour: 1.2, km_per_hour: 65 },
] as const

const SAME_PLACE_METRES = 50

/** Seconds of a drive, the turning in at its end with it. */
export function driveSeconds(habits: Habits, one: Position, other: Position, toYard: boolean): number {
  const straight = straightMetres(one, other)
  let seconds = 0
  let begun = 0
  for (const { up_to, detour, km_per_hour } of habits.bands) {
    const part = (up_to === null ? straight : Math.min(straight, up_to)) - begun
    if (part <= 0) break
    seconds += (part * detour) / (km_per_hour / 3.6)
    begun += part
  }
  return Math.ceil(seconds * habits.trailer) + (straight > SAME_PLACE_METRES && !toYard ? habits.per_stop : 0)
}

/** An order of a rig's stops, trip by trip, against what can be reckoned. Each kind of rule names its first fault. */
export function checkByHand(rig: HandRig, day: HandDay, trips: readonly (readonly HandStop[])[]): HandCheck {
  const stops = trips.flat()
  const found = [mayCarry(rig, day, trips), stand(rig, day, trips)].filter((fault) => fault !== null)
  const noSize = stops.filter((stop) => stop.kind !== 'visit' && stop.piece === null).map(({ key }) => key)
  const noPlace = stops.filter((stop) => stop.position === null).map(({ key }) => key)
  const { visits, home, fault } = timed(rig, day, trips)
  return { faults: fault ? [...found, fault] : found, visits, home, noSize, noPlace }
}

function mayCarry(rig: HandRig, day: HandDay, trips: readonly (readonly HandStop[])[]): HandFault | null {
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

function loads(rig: HandRig, trip: readonly HandStop[], carried: readonly Aboard[]): HandFault | null {
  const length = rig.deck ? rig.deck.length_cm * rig.deck.lanes : Number.POSITIVE_INFINITY
  const most = [rig.payload_kg, length, rig.slots]
  const takes = ({ piece }: Aboard, dimension: number) =>
    [piece?.kg ?? 0, piece?.length_cm ?? 0, 1][dimension] ?? 0
  const of = (stop: HandStop, dimension: number) => (stop.kind === 'visit' ? 0 : takes(stop, dimension))
  for (const [dimension, limit] of most.entries()) {
    const returns = trip.filter(({ kind }) => kind === 'return')
    let load = [...returns, ...carried].reduce((sum, each) => sum + takes(each, dimension), 0)
    if (load > limit) {
      const worst = trip.reduce((one, other) => {
        const brought = (stop: HandStop) => (stop.kind === 'return' ? of(stop, dimension) : 0)
        return brought(other) > brought(one) ? other : one
      })
      return { code: 'load', stop: worst.key, over: load - limit, dimension }
    }
    for (const stop of trip) {
      load += of(stop, dimension) * (stop.kind === 'return' ? -1 : 1)
      if (load > limit) return { code: 'load', stop: stop.key, over: load - limit, dimension }
    }
  }
  return null
}

function stand(rig: HandRig, day: HandDay, trips: readonly (readonly HandStop[])[]): HandFault | null {
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
    const blocked = blockedOn(rig.deck, known, atStart, moves, fixed)
    if (blocked?.by) return { code: 'deck_order', stop: blocked.key, other: blocked.by }
    if (blocked) return { code: 'deck_space', stop: blocked.key }
  }
  return null
}

interface Walk {
  visits: HandVisit[]
  home: number | null
  fault: HandFault | null
}

/** The timetable that leaves as late as it can and is home as early as can be. */
function timed(rig: HandRig, day: HandDay, trips: readonly (readonly HandStop[])[]): Walk {
  const opens = day.from ? day.from.at : rig.shift.opens
  const first = walk(day, trips, opens)
  if (first.fault || first.home === null) return first
  const last = trips.flat().at(-1)
  if (first.home > rig.shift.closes && last)
    return { ...first, fault: { code: 'shift', stop: last.key, over: first.home - rig.shift.closes } }
  if (day.from) return first
  let [low, high] = [opens, first.home]
  while (low < high) {
    const middle = Math.floor((low + high + 1) / 2)
    const tried = walk(day, trips, middle)
    if (!tried.fault && tried.home !== null && tried.home <= first.home) low = middle
    else high = middle - 1
  }
  return walk(day, trips, low)
}

function walk(day: HandDay, trips: readonly (readonly HandStop[])[], start: number): Walk {
  const visits: HandVisit[] = []
  let now = start
  let here = day.from ? day.from.position : day.yard
  for (const [number, trip] of trips.entries()) {
    if (number > 0 || day.from === null) now += day.loading
    for (const stop of trip) {
      if (here === null || stop.position === null) return { visits, home: null, fault: null }
      now += driveSeconds(day.habits, here, stop.position, false)
      here = stop.position
      const arrives = now
      const open = stop.windows.filter(({ closes }) => now <= closes)
      if (stop.windows.length > 0 && open.length === 0) {
        const closes = Math.max(...stop.windows.map((window) => window.closes))
        return { visits, home: null, fault: { code: 'window', stop: stop.key, over: now - closes } }
      }
      const starts = Math.min(...open.map(({ opens }) => Math.max(now, opens)))
      now = (open.length > 0 ? starts : now) + stop.service
      visits.push({ stop: stop.key, arrives, starts: now - stop.service, leaves: now })
    }
    if (here === null || day.yard === null) return { visits, home: null, fault: null }
    now += driveSeconds(day.habits, here, day.yard, true)
    here = day.yard
  }
  return { visits, home: now, fault: null }
}
