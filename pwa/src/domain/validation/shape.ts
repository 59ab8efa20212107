/**
 * Checks of single fields at run time: text typed by people, and rows stored by older apps.
 *
 * The codes are those of the twin, `shopapi/core/schema.py`, and the limits those in `shopapi/quotes/rules`.
 */

import { compare, exact, isDecimal } from '../numbers/decimal.ts'
import { type FieldError, type QuoteFault, refusal } from '../quotes/wording.ts'

/** Adds the faults of a value to `found`, with its dotted path. */
export type ShapeCheck = (value: unknown, path: string, found: FieldError[]) => void

// NOT_BLANK lists what counts as blank, so that both twins agree on what an empty text is.
// What UTF-8 or PostgreSQL cannot store: NUL, lone surrogates (with the u flag whole pairs do not match).
const UNSTORABLE = /[\0\p{Surrogate}]/u
const NOT_BLANK = /[^\t\n\v\f\r \u0085\u00a0\u1680\u2000-\u200b\u2028\u2029\u202f\u205f\u2060\u3000\ufeff]/
const PLAIN_KEY = /^[a-z][a-z0-9_-]{0,39}$/
const CURRENCY = /^[A-Z]{3}$/
const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/
const DAY = /^[0-9]{4}-[0-9]{2}-[0-9]{2}$/

/** A check that fails with one code unless `holds`. */
function must(holds: (value: unknown) => boolean, code: QuoteFault): ShapeCheck {
  return (value, path, found) => {
    if (!holds(value)) found.push(refusal(path, code))
  }
}

/** Checks made one after another, until one finds a fault. */
function first(...checks: readonly ShapeCheck[]): ShapeCheck {
  return (value, path, found) => {
    const before = found.length
    for (const check of checks) {
      check(value, path, found)
      if (found.length > before) return
    }
  }
}

const isText = must((value) => typeof value === 'string', 'string_type')

export function text(most: number): ShapeCheck {
  return first(
    isText,
    must((value) => !UNSTORABLE.test(value as string), 'unstorable_text'),
    must((value) => [...(value as string)].length <= most, 'text_too_long'),
  )
}

/** A text that is not blank. */
export function words(most: number): ShapeCheck {
  return first(
    text(most),
    must((value) => NOT_BLANK.test(value as string), 'words_empty'),
  )
}

export const label = words(120)

export const key = first(
  isText,
  must((value) => PLAIN_KEY.test(value as string), 'key_not_plain'),
)

export const currency = first(
  isText,
  must((value) => CURRENCY.test(value as string), 'currency_unknown'),
)

export const uuid = first(
  must((value) => typeof value === 'string', 'uuid_type'),
  must((value) => UUID.test(value as string), 'uuid_parsing'),
)

export const yesOrNo = must((value) => typeof value === 'boolean', 'bool_type')

export const day = first(
  must((value) => typeof value === 'string', 'date_type'),
  must((value) => isDay(value as string), 'date_parsing'),
)

function isDay(text: string): boolean {
  const at = new Date(`${text}T00:00:00Z`)
  return (
    DAY.test(text) &&
    !text.startsWith('0000') &&
    !Number.isNaN(at.getTime()) &&
    at.toISOString().startsWith(text)
  )
}

/** A whole number from `low` to `high`, both included. */
export function whole(low: number, high: number, code: QuoteFault): ShapeCheck {
  return first(
    must(Number.isInteger, 'int_type'),
    must((value) => low <= (value as number) && (value as number) <= high, code),
  )
}

/** A decimal in plain text from `low` to `high`, both included. */
export function decimal(low: number, high: number, code: QuoteFault): ShapeCheck {
  return first(
    must((value) => typeof value === 'string' && isDecimal(value), 'decimal_text'),
    must((value) => {
      const number = exact(value as string)
      return compare(exact(low), number) <= 0 && compare(number, exact(high)) <= 0
    }, code),
  )
}

export function oneOf(...choices: readonly string[]): ShapeCheck {
  return must((value) => choices.includes(value as string), 'literal_error')
}

export function orNull(check: ShapeCheck): ShapeCheck {
  return (value, path, found) => {
    if (value !== null) check(value, path, found)
  }
}

type Omissible = ShapeCheck & { readonly omissible: true }

/** A field that may be omitted, but not null. */
export function omissible(check: ShapeCheck): Omissible {
  const own: ShapeCheck = (value, path, found) => check(value, path, found)
  return Object.assign(own, { omissible: true as const })
}

/** A field that may be null or omitted. */
export function optional(check: ShapeCheck): Omissible {
  return omissible(orNull(check))
}

export function listOf(check: ShapeCheck): ShapeCheck {
  return (value, path, found) => {
    if (!Array.isArray(value)) found.push(refusal(path, 'tuple_type'))
    else for (const [at, item] of value.entries()) check(item, `${path}.${at}`, found)
  }
}

/** A record with these fields. Other fields are not checked here but by the compiler and the server. */
export function record<T>(fields: { readonly [K in keyof Required<T>]: ShapeCheck }): ShapeCheck {
  const checks: [string, ShapeCheck & { omissible?: true }][] = Object.entries(fields)
  return (value, path, found) => {
    if (typeof value !== 'object' || value === null || Array.isArray(value)) {
      found.push(refusal(path, 'model_type'))
      return
    }
    for (const [name, check] of checks) {
      const field: unknown = (value as Record<string, unknown>)[name]
      const at = path ? `${path}.${name}` : name
      if (field !== undefined) check(field, at, found)
      else if (!check.omissible) found.push(refusal(at, 'missing'))
    }
  }
}
