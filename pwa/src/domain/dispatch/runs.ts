import type { StopState } from '../contract.ts'

/** Stops that nobody has been to yet. */
export const isPendingStop = (state: StopState): boolean =>
  state === 'asked' || state === 'planned' || state === 'driving'

const HALF_HOUR_MS = 1_800_000
const FIVE_MS = 300_000

/**
 * The arrival interval to tell a customer when the driver sets out now: the planned one, moved later by as much as the
 * plan is late already. Without a plan: within half an hour.
 */
export function arrivalWindow(
  stop: { readonly arrives_from: string | null; readonly arrives_to: string | null },
  now: number,
): [from: number, to: number] {
  if (stop.arrives_from === null || stop.arrives_to === null) return [now, now + HALF_HOUR_MS]
  const from = Date.parse(stop.arrives_from)
  const late = Math.max(0, now - from)
  // Rounded outwards to five minutes, since no customer needs the minute, but never into the past.
  const opens = Math.max(Math.floor((from + late) / FIVE_MS) * FIVE_MS, Math.min(now, from + late))
  return [opens, Math.ceil((Date.parse(stop.arrives_to) + late) / FIVE_MS) * FIVE_MS]
}

const HOURS_A_DAY = 24
const MS_A_DAY = 86_400_000

/**
 * The anomaly of a meter reading against the last one of the same meter: it decreased, or rose faster than time
 * passed. Days are as in "2026-05-01". Twin: `shopapi/dispatch/rules/meter.py`.
 */
export function readingAnomaly(
  hours: number,
  on: string,
  before: { hours: number; on: string } | undefined,
): '' | 'lower' | 'too_fast' {
  if (!before) return ''
  if (hours < before.hours) return 'lower'
  const days = Math.max(0, Math.round((Date.parse(on) - Date.parse(before.on)) / MS_A_DAY)) + 1
  return hours - before.hours > days * HOURS_A_DAY ? 'too_fast' : ''
}
