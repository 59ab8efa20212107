import {
  FETCH_MINUTES,
  type LearnedTimes,
  type Need,
  type Rig,
  type Run,
  type Stop,
  type Yard,
} from '../domain/contract'
import type { Piece } from '../domain/dispatch/deck'
import {
  checkRoute,
  DEFAULT_SPEED_BANDS,
  type DrivingHabits,
  type RouteCheck,
  type RouteDay,
  type RouteRig,
  type RouteStop,
  type TimeWindow,
} from '../domain/dispatch/routeCheck'
import { isPendingStop } from '../domain/dispatch/runs'
import { positionOf } from '../domain/geo/places'
import { msOfWallTime } from '../domain/labor/clock'
import { exactOf } from '../domain/numbers/measures'
import { openingTimes } from '../domain/parts/openingTimes'
import type { Day } from '../domain/time'
import { rig, stopPosition, stopsOfRun, yard } from './dispatch'
import { byId } from './rows/selectors'
import { shop } from './shop'

const ENOUGH_STOPS = 5
/** The gap between two machines on the deck, as in the planner. */
const GAP_CM = 15

/** Checks the order of a run as stored on this phone; null without its rig. Seconds are since 1970. */
export function checkRun(row: Run, now: number): RouteCheck | null {
  const truck = rig(row.rig_id)
  const place = yard.value
  if (!truck || !place) return null
  const stops = stopsOfRun(row.id)
  const trips = new Map<number, RouteStop[]>()
  for (const each of stops.filter(({ state }) => isPendingStop(state)))
    trips.set(each.trip, [...(trips.get(each.trip) ?? []), routeStop(each, place, windowsOf(each, row.day))])
  const from = row.state === 'driving' ? whereIs(stops, place, now) : null
  return checkRoute(routeRig(truck, row.day, place), { ...routeDay(place), from }, [...trips.values()])
}

/** How the shop drives, from its yard. */
export const routeDay = (place: Yard): Omit<RouteDay, 'from'> => ({
  yard: positionOf(place),
  loading: 60 * place.loading_minutes,
  leastTieDowns: place.least_tie_downs,
  habits: habitsOf(place),
})

/** Minutes of work at a stop: its own, or by the shop's history and settings. Only the server uses what was agreed of a visit. */
export function minutesAt(row: Stop, place: Yard | undefined): number {
  if (row.service_minutes !== null) return row.service_minutes
  if (row.kind === 'fetch') return byId('supplier', row.supplier_id ?? '')?.stop_minutes ?? FETCH_MINUTES
  if (!place) return 20
  const learned = place.learned[`${row.kind}_minutes` satisfies keyof LearnedTimes]
  const count = place.learned[`${row.kind}_count` satisfies keyof LearnedTimes]
  return learned !== null && count >= ENOUGH_STOPS ? learned : place[`${row.kind}_minutes`]
}

/** A stop as it is checked. */
export function routeStop(row: Stop, place: Yard, windows: readonly TimeWindow[]): RouteStop {
  return {
    key: row.id,
    // To the deck, parts are nothing: the stop is as a visit.
    kind: row.kind === 'fetch' ? 'visit' : row.kind,
    position: stopPosition(row),
    windows,
    service: 60 * minutesAt(row, place),
    needs: row.needs,
    piece: pieceOf(row),
    rig: row.pin_rig_id,
    after: row.pin_after_id,
  }
}

/** A visit does not change the deck; a machine without dimensions cannot be checked. */
function pieceOf(row: Stop): Piece | null {
  const machine = byId('machine', byId('job', row.job_id ?? '')?.machine_id ?? '')
  if (
    row.kind === 'visit' ||
    row.kind === 'fetch' ||
    !machine ||
    machine.mass_kg === null ||
    machine.length_cm === null
  )
    return null
  const { mass_kg, length_cm, width_cm } = machine
  return {
    kg: exactOf(mass_kg, machine.mass_typed),
    length_cm: exactOf(length_cm, machine.length_typed),
    width_cm: width_cm === null ? 0 : exactOf(width_cm, machine.width_typed),
  }
}

/** A pinned time, else the promised interval, else the stop's windows. */
export function windowsOf(row: Stop, day: Day): TimeWindow[] {
  return row.pin_at === null ? freeWindowsOf(row, day) : [span(row.pin_at, row.pin_at)]
}

/** The windows of a stop without its pinned time; at a supplier on this day also its opening hours. */
export function freeWindowsOf(row: Stop, day: Day): TimeWindow[] {
  const promised = promisedSpan(row)
  if (promised) return [promised]
  const own = row.windows.map(({ opens, closes }) => span(opens, closes))
  const place = own.length === 0 && row.supplier_id ? byId('supplier', row.supplier_id) : undefined
  return place ? openingTimes(place, day, shop.value?.zone ?? 'UTC') : own
}

/** When the customer was told that somebody comes. */
export const promisedSpan = ({ notified_from, notified_to }: Stop): TimeWindow | null =>
  notified_from !== null && notified_to !== null ? span(notified_from, notified_to) : null

const span = (opens: string, closes: string): TimeWindow => ({
  opens: Date.parse(opens) / 1000,
  closes: Date.parse(closes) / 1000,
})

export function routeRig(truck: Rig, day: Day, place: Yard): RouteRig {
  const { length_cm, width_cm, lanes, slots, typed } = truck.deck
  const at = (time: string) => (msOfWallTime(shop.value?.zone ?? 'UTC', { day, time }) ?? 0) / 1000
  const has: Need[] = []
  if (truck.winch) has.push('winch')
  if (truck.ramp_length_cm !== null) has.push('ramp')
  if (truck.crew > 1) has.push('two_people')
  return {
    key: truck.id,
    payload_kg: exactOf(truck.payload_kg, truck.payload_typed),
    slots,
    deck:
      length_cm !== null && width_cm !== null
        ? {
            length_cm: exactOf(length_cm, typed?.['length_cm'] ?? ''),
            width_cm: exactOf(width_cm, typed?.['width_cm'] ?? ''),
            lanes,
            gap_cm: GAP_CM,
          }
        : null,
    tows: truck.trailer !== null,
    straps: truck.straps,
    strapCounts:
      truck.strap_wll_kg === null
        ? null
        : exactOf(truck.strap_wll_kg, truck.strap_wll_typed) / (truck.straps_cross ? 1 : 2),
    has,
    shift: {
      opens: Math.max(at(truck.shift_opens), at(place.opens)),
      closes: Math.min(at(truck.shift_closes), at(place.closes)),
    },
  }
}

/** The shop's travel profile: set by hand, else fitted, else the default. Twin: `travel_profile_of`. */
function habitsOf(place: Yard): DrivingHabits {
  const { drive_permille, drive_count } = place.learned
  const slower = drive_permille !== null && drive_count > 0 ? drive_permille / 1000 : 1
  return {
    bands: DEFAULT_SPEED_BANDS.map((band) => ({
      ...band,
      km_per_hour: place.speed_kmh ?? band.km_per_hour / slower,
    })),
    trailer: 100 / (100 - place.trailer_percent),
    per_stop: 60 * place.turn_in_minutes,
  }
}

/** Where a rig on the road is, and what is on its deck. */
export function whereIs(stops: readonly Stop[], place: Yard, now: number) {
  const been = stops.filter((each) => !isPendingStop(each.state) && each.state !== 'dropped')
  const trip = Math.max(0, ...been.map((each) => each.trip))
  const last = been.at(-1)
  const here = stops.filter((each) => each.trip === trip)
  const still = here.filter((each) => each.kind === 'return' && isPendingStop(each.state)).reverse()
  // Machines that could not be handed over come home again, unless they never left the shop.
  const undelivered = here.filter(
    (each) => each.kind === 'return' && each.state === 'failed' && each.failure !== 'machine_not_ready',
  )
  const fetched = here.filter(
    (each) => each.kind === 'pickup' && (each.state === 'arrived' || each.state === 'left'),
  )
  return {
    position: last ? stopPosition(last) : positionOf(place),
    at: Math.floor(now / 1000),
    aboard: [...undelivered, ...still, ...fetched].map((each) => ({ key: each.id, piece: pieceOf(each) })),
  }
}
