import {
  checkByHand,
  type Habits,
  type HandCheck,
  type HandRig,
  type HandStop,
  USUAL_BANDS,
} from '../domain/byhand'
import { instantOf } from '../domain/clock'
import type { Piece } from '../domain/deck'
import { positionOf } from '../domain/places'
import type { Learned, Need, Rig, Run, Stop, Yard } from '../domain/rows'
import { isAhead } from '../domain/runs'
import { rig, stopsOfRun, yard } from './dispatch'
import { shop } from './shop'
import { one } from './shown'

const ENOUGH_STOPS = 5
/** Room between two machines on the deck, as the planner leaves it. */
const GAP_CM = 15

/** The order of a run as it stands on this phone; null where its rig is not here. Seconds are since 1970. */
export function checkRun(row: Run, now: number): HandCheck | null {
  const truck = rig(row.rig_id)
  const place = yard.value
  if (!truck || !place) return null
  const stops = stopsOfRun(row.id)
  const ahead = stops.filter((each) => isAhead(each.state))
  const begun = row.state === 'driving'
  const trips = new Map<number, HandStop[]>()
  for (const each of ahead) trips.set(each.trip, [...(trips.get(each.trip) ?? []), handStop(each, place)])
  return checkByHand(
    handRig(truck, row, place),
    {
      yard: positionOf(place),
      loading: 60 * place.loading_minutes,
      habits: habitsOf(place),
      from: begun ? whereIs(stops, place, now) : null,
    },
    [...trips.values()],
  )
}

/** Minutes of work at a stop: its own, or as the shop's days and settings say. A visit's quote is the server's to read. */
export function minutesAt(row: Stop, place: Yard | undefined): number {
  if (row.service_minutes !== null) return row.service_minutes
  if (!place) return 20
  const learned = place.learned[`${row.kind}_minutes` satisfies keyof Learned]
  const count = place.learned[`${row.kind}_count` satisfies keyof Learned]
  return learned !== null && count >= ENOUGH_STOPS ? learned : place[`${row.kind}_minutes`]
}

function handStop(row: Stop, place: Yard): HandStop {
  return {
    key: row.id,
    kind: row.kind,
    position: positionOf(one('site', row.site_id)),
    windows: windowsOf(row),
    service: 60 * minutesAt(row, place),
    needs: row.needs,
    piece: pieceOf(row),
    rig: row.pin_rig_id,
    after: row.pin_after_id,
  }
}

/** A visit leaves the deck alone; a machine whose size nobody entered cannot be reckoned with. */
function pieceOf(row: Stop): Piece | null {
  const machine = one('machine', one('job', row.job_id)?.machine_id ?? '')
  if (row.kind === 'visit' || !machine || machine.mass_kg === null || machine.length_cm === null) return null
  return { kg: machine.mass_kg, length_cm: machine.length_cm, width_cm: machine.width_cm ?? 0 }
}

/** A pinned time is kept to the second, a told interval as it was told; else the stop's own windows. */
function windowsOf(row: Stop) {
  const span = (opens: string, closes: string) => ({
    opens: Date.parse(opens) / 1000,
    closes: Date.parse(closes) / 1000,
  })
  if (row.pin_at !== null) return [span(row.pin_at, row.pin_at)]
  if (row.told_from !== null && row.told_to !== null) return [span(row.told_from, row.told_to)]
  return row.windows.map(({ opens, closes }) => span(opens, closes))
}

function handRig(truck: Rig, row: Run, place: Yard): HandRig {
  const { length_cm, width_cm, lanes, slots } = truck.deck
  const at = (time: string) => (instantOf(shop.value?.zone ?? 'UTC', { day: row.day, time }) ?? 0) / 1000
  const has: Need[] = []
  if (truck.winch) has.push('winch')
  if (truck.ramp_length_cm !== null) has.push('ramp')
  if (truck.crew > 1) has.push('two_people')
  return {
    key: truck.id,
    payload_kg: truck.payload_kg,
    slots,
    deck: length_cm !== null && width_cm !== null ? { length_cm, width_cm, lanes, gap_cm: GAP_CM } : null,
    has,
    shift: {
      opens: Math.max(at(truck.shift_opens), at(place.opens)),
      closes: Math.min(at(truck.shift_closes), at(place.closes)),
    },
  }
}

/** How this shop drives: as it set it, else as it has learned, else the usual. Twin of `habits_of` on the server. */
function habitsOf(place: Yard): Habits {
  const { drive_permille, drive_count } = place.learned
  const slower = drive_permille !== null && drive_count > 0 ? drive_permille / 1000 : 1
  return {
    bands: USUAL_BANDS.map((band) => ({
      ...band,
      km_per_hour: place.speed_kmh ?? band.km_per_hour / slower,
    })),
    trailer: 100 / (100 - place.trailer_percent),
    per_stop: 60 * place.turn_in_minutes,
  }
}

function whereIs(stops: readonly Stop[], place: Yard, now: number) {
  const been = stops.filter((each) => !isAhead(each.state) && each.state !== 'dropped')
  const trip = Math.max(0, ...been.map((each) => each.trip))
  const last = been.at(-1)
  const here = stops.filter((each) => each.trip === trip)
  const still = here.filter((each) => each.kind === 'return' && isAhead(each.state)).reverse()
  const fetched = here.filter(
    (each) => each.kind === 'pickup' && (each.state === 'arrived' || each.state === 'left'),
  )
  return {
    position: last ? positionOf(one('site', last.site_id)) : positionOf(place),
    at: Math.floor(now / 1000),
    aboard: [...still, ...fetched].map((each) => ({ key: each.id, piece: pieceOf(each) })),
  }
}
