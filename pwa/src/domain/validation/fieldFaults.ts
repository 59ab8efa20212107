/**
 * Limits of single fields, for what people type. The codes are those of the server's shapes (`shopapi/core/schema.py`);
 * both sides run the vectors of `fixtures/fields`.
 */

/** The fault of one field of a row ("breaks.0.minutes"): a code that the server also uses. */
export interface Fault {
  field: string
  code: string
}

/** Minimum and maximum of a whole number, or of the length of a text. */
export type Limits = readonly [least: number, most: number]

/** "07:30" */
const CLOCK_TIME = /^([01]\d|2[0-3]):[0-5]\d$/

/** Numbers of a row that are not whole or not within their limits; null (not entered) is valid. */
export function faultsOfNumbers(row: object, limits: Readonly<Record<string, Limits>>, under = ''): Fault[] {
  return Object.entries(limits).flatMap(([name, [least, most]]) => {
    const value: unknown = Reflect.get(row, name)
    if (value === null || value === undefined) return []
    const code = codeOfNumber(value, least, most)
    return code ? [{ field: under + name, code }] : []
  })
}

function codeOfNumber(value: unknown, least: number, most: number): string | null {
  if (typeof value !== 'number' || !Number.isInteger(value)) return 'int_type'
  if (value < least) return 'greater_than_equal'
  return value > most ? 'less_than_equal' : null
}

/** Texts of a row that are too short or too long. */
export function faultsOfTexts(row: object, limits: Readonly<Record<string, Limits>>): Fault[] {
  return Object.entries(limits).flatMap(([field, [least, most]]) => {
    const length = [...String(Reflect.get(row, field) ?? '')].length
    if (length < least) return [{ field, code: 'too_short' }]
    return length > most ? [{ field, code: 'too_long' }] : []
  })
}

/** Invalid times of day. */
export function faultsOfTimes(row: object, names: readonly string[], under = ''): Fault[] {
  return names
    .filter((name) => !CLOCK_TIME.test(String(Reflect.get(row, name))))
    .map((name) => ({ field: under + name, code: 'string_pattern_mismatch' }))
}

/** A list with too many entries. */
export function faultsOfList(field: string, list: readonly unknown[], most: number): Fault[] {
  return list.length > most ? [{ field, code: 'too_long' }] : []
}

const PLAIN_DECIMAL = /^-?\d{1,12}(\.\d{1,6})?$/

/** Coordinates that are not a number or out of range; null is valid. */
export function faultsOfDegrees(row: object, most: Readonly<Record<string, number>>): Fault[] {
  return Object.entries(most).flatMap(([field, limit]) => {
    const value: unknown = Reflect.get(row, field)
    if (value === null || value === undefined) return []
    if (typeof value !== 'string' || !PLAIN_DECIMAL.test(value)) return [{ field, code: 'decimal_text' }]
    if (Number(value) < -limit) return [{ field, code: 'greater_than_equal' }]
    return Number(value) > limit ? [{ field, code: 'less_than_equal' }] : []
  })
}

/** One coordinate without the other. */
export function faultsOfPair(field: string, lat: string | null, lon: string | null): Fault[] {
  return (lat === null) === (lon === null) ? [] : [{ field, code: 'half_a_place' }]
}
