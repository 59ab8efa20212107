/**
 * What the server refuses of a stop. Twin of `StopFields` and `faults_of_stop` in
 * `shopapi/dispatch/rules/schemas`; both run the vectors of `fixtures/fields`.
 */

import type { Stop } from '../contract.ts'
import {
  type Fault,
  faultsOfDegrees,
  faultsOfList,
  faultsOfNumbers,
  faultsOfPair,
  faultsOfTexts,
} from '../validation/fieldFaults.ts'

/** The editable fields of a stop that are checked. */
export type StopInput = Pick<
  Stop,
  'lat' | 'lon' | 'place' | 'windows' | 'service_minutes' | 'needs' | 'earliest_on' | 'wait_until' | 'notes'
>

export const STOP_LIMITS = { service_minutes: [1, 720] } as const
export const MAX_WINDOWS = 10

/** The faults of a stop; across fields only if each field is right by itself. */
export function faultsOfStop(stop: StopInput): Fault[] {
  const own = [
    ...faultsOfTexts(stop, { place: [0, 120], notes: [0, 4000] }),
    ...faultsOfDegrees(stop, { lat: 90, lon: 180 }),
    ...faultsOfList('windows', stop.windows, MAX_WINDOWS),
    ...faultsOfList('needs', stop.needs, 3),
    ...faultsOfNumbers(stop, STOP_LIMITS),
  ]
  if (own.length > 0) return own
  const faults = faultsOfPair('lat', stop.lat, stop.lon)
  for (const [at, { opens, closes }] of stop.windows.entries())
    if (Date.parse(closes) <= Date.parse(opens))
      faults.push({ field: `windows.${at}.closes`, code: 'window_ends_first' })
  const { earliest_on, wait_until } = stop
  if (earliest_on && wait_until && wait_until < earliest_on)
    faults.push({ field: 'wait_until', code: 'wait_ends_first' })
  return faults
}
