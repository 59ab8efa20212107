/**
 * What the server refuses of a rig and of the yard, field by field and across fields. Twin of `RigFields`,
 * `YardFields`, `faults_of_rig` and `faults_of_yard` in `shopapi/dispatch/rules/schemas`; both run the vectors of
 * `fixtures/fields`.
 */

import type { Rig, Yard } from '../contract.ts'
import { CENTIMETERS, KILOGRAMS } from '../machines/machineFaults.ts'
import {
  type Fault,
  faultsOfDegrees,
  faultsOfList,
  faultsOfNumbers,
  faultsOfPair,
  faultsOfTexts,
  faultsOfTimes,
  type Limits,
} from '../validation/fieldFaults.ts'

type GeneratedFields = 'id' | 'created_at' | 'changed_at'
/** The editable fields of a rig. */
export type RigInput = Omit<Rig, GeneratedFields | 'out_at' | 'out_note'>
/** The editable fields of the yard. */
export type YardInput = Omit<Yard, GeneratedFields | 'learned'>

export const DECK_LIMITS = {
  length_cm: CENTIMETERS,
  width_cm: CENTIMETERS,
  height_cm: CENTIMETERS,
  slots: [1, 12],
  lanes: [1, 4],
} as const satisfies Readonly<Record<string, Limits>>

export const TRAILER_LIMITS = {
  empty_kg: KILOGRAMS,
  tongue_kg: KILOGRAMS,
  axle_cm: CENTIMETERS,
  deck_cm: CENTIMETERS,
  axles: [1, 4],
  track_cm: CENTIMETERS,
  gvwr_kg: KILOGRAMS,
  gawr_kg: KILOGRAMS,
  tires_kg: KILOGRAMS,
  coupler_kg: KILOGRAMS,
} as const satisfies Readonly<Record<string, Limits>>

export const TRUCK_LIMITS = {
  ready_kg: KILOGRAMS,
  gvwr_kg: KILOGRAMS,
  gcwr_kg: KILOGRAMS,
  hitch_kg: KILOGRAMS,
  hitch_tongue_kg: KILOGRAMS,
  ball_kg: KILOGRAMS,
  rear_ready_kg: KILOGRAMS,
  rear_gawr_kg: KILOGRAMS,
  wheelbase_cm: CENTIMETERS,
  overhang_cm: CENTIMETERS,
} as const satisfies Readonly<Record<string, Limits>>

export const RIG_LIMITS = {
  crew: [1, 4],
  payload_kg: KILOGRAMS,
  ramp_length_cm: CENTIMETERS,
  straps: [0, 99],
  strap_wll_kg: KILOGRAMS,
} as const satisfies Readonly<Record<string, Limits>>

export const REST_LIMITS = { minutes: [1, 240] } as const satisfies Readonly<Record<string, Limits>>
export const MAX_RESTS = 4

export const YARD_LIMITS = {
  loading_minutes: [0, 720],
  pickup_minutes: [0, 720],
  return_minutes: [0, 720],
  visit_minutes: [0, 720],
  speed_kmh: [5, 130],
  trailer_percent: [0, 60],
  turn_in_minutes: [0, 60],
  tongue_low_permille: [0, 500],
  tongue_high_permille: [0, 500],
  least_tie_downs: [1, 12],
} as const satisfies Readonly<Record<string, Limits>>

/** The faults of a rig; across fields only if each field is right by itself. */
export function faultsOfRig(rig: RigInput): Fault[] {
  const own = [
    ...faultsOfTexts(rig, { name: [1, 120] }),
    ...faultsOfNumbers(rig, RIG_LIMITS),
    ...faultsOfNumbers(rig.deck, DECK_LIMITS, 'deck.'),
    ...(rig.trailer ? faultsOfNumbers(rig.trailer, TRAILER_LIMITS, 'trailer.') : []),
    ...(rig.truck ? faultsOfNumbers(rig.truck, TRUCK_LIMITS, 'truck.') : []),
    ...faultsOfDegrees(rig, { home_lat: 90, home_lon: 180 }),
    ...faultsOfTimes(rig, ['shift_opens', 'shift_closes']),
    ...faultsOfList('breaks', rig.breaks, MAX_RESTS),
    ...rig.breaks.flatMap((rest, at) => [
      ...faultsOfTimes(rest, ['opens', 'closes'], `breaks.${at}.`),
      ...faultsOfNumbers(rest, REST_LIMITS, `breaks.${at}.`),
    ]),
  ]
  return own.length > 0 ? own : faultsAcrossRig(rig)
}

function faultsAcrossRig(rig: RigInput): Fault[] {
  const { ramp_length_cm, deck, breaks } = rig
  const faults = faultsOfPair('home_lat', rig.home_lat, rig.home_lon)
  if (rig.shift_closes <= rig.shift_opens) faults.push({ field: 'shift_closes', code: 'shift_ends_first' })
  if (ramp_length_cm !== null && deck.height_cm !== null && ramp_length_cm <= deck.height_cm)
    faults.push({ field: 'ramp_length_cm', code: 'ramp_too_short' })
  for (const [at, rest] of breaks.entries())
    if (rest.closes < rest.opens) faults.push({ field: `breaks.${at}.closes`, code: 'break_ends_first' })
  return faults
}

/** The faults of the yard; across fields only if each field is right by itself. */
export function faultsOfYard(yard: YardInput): Fault[] {
  const own = [
    ...faultsOfDegrees(yard, { lat: 90, lon: 180 }),
    ...faultsOfTimes(yard, ['opens', 'closes']),
    ...faultsOfNumbers(yard, YARD_LIMITS),
  ]
  if (own.length > 0) return own
  const faults = faultsOfPair('lat', yard.lat, yard.lon)
  if (yard.closes <= yard.opens) faults.push({ field: 'closes', code: 'yard_ends_first' })
  if (yard.tongue_high_permille <= yard.tongue_low_permille)
    faults.push({ field: 'tongue_high_permille', code: 'range_ends_first' })
  return faults
}
