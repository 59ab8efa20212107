/**
 * Weights and lengths as people type them ("900 lb", "24.25 in", "16 ft"), and as whole kilograms and centimetres.
 *
 * A measure is stored twice: as typed, so that it is shown as it was written, and as a whole number in SI. The typed
 * text is used only while it matches that number. What a pound and an inch are is in `quantities.ts`, the table of all units.
 * Twin of `shopapi/core/units.py`; both run the vectors of `fixtures/measures`.
 */
import type { Units } from '../contract.ts'
import { spanToSi } from './quantities.ts'
import { weightIn } from './units.ts'

export type MeasureQuantity = 'weight' | 'length'

/** A measure as stored in a row. */
export interface Measure {
  whole: number
  typed: string
}

/** Each unit in kilograms or centimetres, times 100 000 000. */
const FACTORS: Readonly<Record<MeasureQuantity, Readonly<Record<string, bigint>>>> = {
  weight: factors(['kg', 'lb'], 100_000_000n),
  length: factors(['cm', 'm', 'in', 'ft'], 10_000_000_000n),
}
const AMOUNT = /^(\d{1,6})(?:\.(\d{1,4}))?$/u
// Hundred-millionths of a unit times ten-thousandths of an amount.
const PARTS = 1_000_000_000_000n

/** The default unit of a shop with these units. */
export function unitFor(quantity: MeasureQuantity, units: Units): string {
  if (quantity === 'weight') return units === 'us' ? 'lb' : 'kg'
  return units === 'us' ? 'in' : 'cm'
}

function factors(units: readonly string[], scale: bigint): Record<string, bigint> {
  const scaled = (unit: string) => {
    const { n, d } = spanToSi('1', unit)
    return (n * scale) / d
  }
  return Object.fromEntries(units.map((unit) => [unit, scaled(unit)]))
}

/** "900 lb" as trillionths of a kilogram; null where it is not a measure. */
function parts(typed: string): bigint | null {
  const [amount = '', unit = ''] = typed.split(' ')
  const factor = FACTORS.weight[unit] ?? FACTORS.length[unit]
  const found = AMOUNT.exec(amount)
  if (factor === undefined || !found) return null
  return BigInt((found[1] ?? '') + (found[2] ?? '').padEnd(4, '0')) * factor
}

/** The whole number of a typed measure: rounded half up, at least 1. */
export function wholeOf(typed: string): number | null {
  const measure = parts(typed)
  return measure === null ? null : Math.max(1, Number((2n * measure + PARTS) / (2n * PARTS)))
}

/** The measure without rounding, in kilograms or centimetres. */
export function exactOf(whole: number, typed: string): number {
  const measure = wholeOf(typed) === whole ? parts(typed) : null
  return measure === null ? whole : Number(measure) / Number(PARTS)
}

/**
 * A typed measure, in the shop's own unit if it names none: null for an empty field, undefined for no measure.
 * `readNumber` reads a number as the shop writes them.
 */
export function readMeasure(
  text: string,
  quantity: MeasureQuantity,
  units: Units,
  readNumber: (text: string) => string | null,
): Measure | null | undefined {
  if (!text.trim()) return null
  const [, amount = '', unit = ''] = /^(.*?)\s*([a-z]*)$/u.exec(text.trim().toLowerCase()) ?? []
  const decimal = readNumber(amount)
  if (decimal === null || Number(decimal) <= 0) return undefined
  const typed = `${decimal} ${unit || unitFor(quantity, units)}`
  const whole = (unit || unitFor(quantity, units)) in FACTORS[quantity] ? wholeOf(typed) : null
  return whole === null ? undefined : { whole, typed }
}

/**
 * The text of a measure in a field: as typed, with its unit if that is not the shop's own; if it was not typed, the
 * whole number in the shop's unit. `mark` is the shop's decimal mark.
 */
export function measureText(
  measure: Measure | null,
  quantity: MeasureQuantity,
  units: Units,
  mark: string,
): string {
  if (measure === null) return ''
  const unit = unitFor(quantity, units)
  if (wholeOf(measure.typed) === measure.whole) {
    const [amount = '', typedUnit] = measure.typed.split(' ')
    const written = amount.replace('.', mark)
    return typedUnit === unit ? written : `${written} ${typedUnit}`
  }
  return String(
    quantity === 'weight' ? weightIn(measure.whole, units) : lengthIn(measure.whole, units),
  ).replace('.', mark)
}

/** Inches with one decimal place, or whole centimetres. */
function lengthIn(cm: number, units: Units): number {
  return units === 'us' ? Math.round((cm / 2.54) * 10) / 10 : cm
}
