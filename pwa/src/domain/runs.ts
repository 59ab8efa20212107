import type { RunState, StopState } from './rows'

/** The lives of a run and a stop. Twin: `shopapi/dispatch/rules/states.py`. */
export const RUN_TRANSITIONS: Readonly<Record<RunState, readonly RunState[]>> = {
  planned: ['locked', 'driving', 'cancelled'],
  locked: ['planned', 'driving', 'cancelled'],
  driving: ['done'],
  done: [],
  cancelled: [],
}

export const STOP_TRANSITIONS: Readonly<Record<StopState, readonly StopState[]>> = {
  asked: ['planned', 'driving', 'arrived', 'left', 'failed', 'dropped'],
  planned: ['asked', 'driving', 'arrived', 'left', 'failed', 'dropped'],
  driving: ['asked', 'planned', 'arrived', 'left', 'failed'],
  arrived: ['left', 'failed'],
  left: [],
  failed: [],
  dropped: ['asked', 'arrived', 'left', 'failed'],
}

/** Where somebody still has to go. */
export const isAhead = (state: StopState): boolean =>
  state === 'asked' || state === 'planned' || state === 'driving'

/** A state that only a newer server knows goes nowhere. */
export const runMayBecome = (state: RunState, then: RunState): boolean =>
  RUN_TRANSITIONS[state]?.includes(then) ?? false

export const stopMayBecome = (state: StopState, then: StopState): boolean =>
  STOP_TRANSITIONS[state]?.includes(then) ?? false

const HALF_HOUR_MS = 1_800_000

/**
 * Between when and when an owner is told to expect somebody who sets out now: as planned, or as much later as the plan
 * is late already, since nobody arrives in the past. Without a plan within half an hour.
 */
export function arrivalToTell(
  stop: { readonly arrives_from: string | null; readonly arrives_to: string | null },
  now: number,
): [from: number, to: number] {
  if (stop.arrives_from === null || stop.arrives_to === null) return [now, now + HALF_HOUR_MS]
  const from = Date.parse(stop.arrives_from)
  const late = Math.max(0, now - from)
  return [from + late, Date.parse(stop.arrives_to) + late]
}

const HOURS_A_DAY = 24
const MS_A_DAY = 86_400_000

/**
 * What is odd about a meter's reading beside the last one of the same meter: it runs backwards, or faster than
 * the clock. Days are as in "2026-05-01". Twin: `shopapi/dispatch/rules/meter.py`.
 */
export function doubtOfReading(
  hours: number,
  on: string,
  before: { hours: number; on: string } | undefined,
): '' | 'lower' | 'too_fast' {
  if (!before) return ''
  if (hours < before.hours) return 'lower'
  const days = Math.max(0, Math.round((Date.parse(on) - Date.parse(before.on)) / MS_A_DAY)) + 1
  return hours - before.hours > days * HOURS_A_DAY ? 'too_fast' : ''
}
