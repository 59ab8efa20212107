/** Readings: their verdict, what is wrong with one before it is saved, which of them count. */
import type { GaugeCopy, Reading, ReadingLimit, Verdict } from '../contract.ts'
import { boundsInSi, faultsOfLimit } from '../machines/limits.ts'
import { compare, type Exact, exact } from '../numbers/decimal.ts'
import { asShown, spanToSi, toSi, UNITS } from '../numbers/quantities.ts'
import { type Bound, decideInterval, decideValue } from './decisions.ts'

/** Digits of the value in SI units. As in `shopapi/bench/rules/readings.py`. */
const SI_DIGITS = 15

/** What was measured, as a reading or a form holds it. */
export interface Measured {
  readonly value: string
  readonly goes: string
  readonly stops: string
  readonly unit: string
  readonly gauge: GaugeCopy | null
  readonly limit: ReadingLimit | null
}

/** The value in the base unit of its quantity; empty for blades. */
export function siOf({ value, unit }: Pick<Measured, 'value' | 'unit'>): string {
  return value && UNITS.has(unit) ? asShown(toSi(value, unit), SI_DIGITS) : ''
}

/** The limits of a reading in the base unit, null where open. */
export function limitsOf({ limit }: Pick<Measured, 'limit'>): readonly [low: Bound, high: Bound] {
  return limit && UNITS.has(limit.unit) ? boundsInSi(limit) : [null, null]
}

/** The uncertainty U of a gauge in the base unit; null without one. */
export function uncertaintyOf(gauge: Pick<GaugeCopy, 'unit' | 'uncertainty'> | null): Exact | null {
  return gauge && UNITS.has(gauge.unit) && gauge.uncertainty ? spanToSi(gauge.uncertainty, gauge.unit) : null
}

/** The measured value, or what lies between two blades, in the base unit; null where open. */
export function rangeOf({ value, goes, stops, unit }: Measured): readonly [least: Bound, most: Bound] {
  const si = (typed: string) => (typed && UNITS.has(unit) ? toSi(typed, unit) : null)
  return value ? [si(value), si(value)] : [si(goes), si(stops)]
}

/** What a reading says about its limit. Twin: `verdict_of`; both run `fixtures/bench/readings.json`. */
export function verdictOf(reading: Measured): Verdict {
  const [low, high] = limitsOf(reading)
  if (!low && !high) return 'no_limit'
  const uncertainty = uncertaintyOf(reading.gauge)
  if (!uncertainty) return 'cannot_say'
  const [least, most] = rangeOf(reading)
  return reading.value && least
    ? decideValue(least, uncertainty, low, high)
    : decideInterval(least, most, uncertainty, low, high)
}

export interface ReadingFault {
  readonly field: string
  readonly code: string
}

/** What is wrong with a reading, by field. Twin: `reading_faults`. */
export function faultsOfReading(reading: Measured): ReadingFault[] {
  const faults = valueFaults(reading)
  const quantity = UNITS.get(reading.unit)?.quantity
  if (!quantity) faults.push({ field: 'unit', code: 'unit_unknown' })
  for (const [field, other] of [
    ['gauge.unit', reading.gauge],
    ['limit.unit', reading.limit],
  ] as const)
    if (other && UNITS.get(other.unit)?.quantity !== quantity)
      faults.push({ field, code: 'units_do_not_fit' })
  if (reading.limit)
    faults.push(...faultsOfLimit(reading.limit).map(({ field, code }) => ({ field: `limit.${field}`, code })))
  return faults
}

function valueFaults({ value, goes, stops }: Measured): ReadingFault[] {
  if (!value && !goes && !stops) return [{ field: 'value', code: 'reading_empty' }]
  if (value && (goes || stops)) return [{ field: 'goes', code: 'reading_twice' }]
  if (goes && stops && compare(exact(goes), exact(stops)) >= 0)
    return [{ field: 'stops', code: 'blades_upside_down' }]
  return []
}

const plain = (text: string) => text.trim().toLowerCase()

/** Whether two readings are of the same thing, by its name, its place and its quantity. */
export function isSameThing(
  a: Pick<Reading, 'what' | 'place' | 'unit'>,
  b: Pick<Reading, 'what' | 'place' | 'unit'>,
): boolean {
  return (
    plain(a.what) === plain(b.what) &&
    plain(a.place) === plain(b.place) &&
    UNITS.get(a.unit)?.quantity === UNITS.get(b.unit)?.quantity
  )
}

/** The readings that count: those that no other corrects. */
export function standing(readings: readonly Reading[]): Reading[] {
  const corrected = new Set(readings.map(({ corrects_id }) => corrects_id))
  return readings.filter(({ id }) => !corrected.has(id))
}

/**
 * What a reading against a critical limit still needs: to be repeated, and to be taken by a second method. `others`: the
 * readings that count of the same thing on the same job.
 */
export function stillNeeded(reading: Reading, others: readonly Reading[]): ('repeat' | 'second_method')[] {
  if (!reading.limit?.critical) return []
  const same = others.filter((other) => other.id !== reading.id && isSameThing(other, reading))
  const all = [reading, ...same]
  const needs: ('repeat' | 'second_method')[] = []
  if (all.filter(({ second_method }) => !second_method).length < 2) needs.push('repeat')
  if (!all.some(({ second_method }) => second_method)) needs.push('second_method')
  return needs
}
