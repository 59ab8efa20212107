/**
 * JSON values in one spelling, so that phone and server hash the same bytes.
 *
 * Twin: `shopapi/quotes/rules/offer.py`.
 */
export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json }

// With the u flag only half of a surrogate pair counts as a surrogate.
const UNSTORABLE = /[\0\p{Surrogate}]/u

/** Whether a text can be kept as UTF-8 and by PostgreSQL: no NUL, no half of a surrogate pair. */
export function isStorable(text: string): boolean {
  return !UNSTORABLE.test(text)
}

/** Something that has no one spelling in canonical JSON; `path` says where, in dots. */
export class NotCanonical extends Error {
  readonly path: string
  readonly code: string

  constructor(path: string, code: string) {
    super(`${path || 'document'}: ${code}`)
    this.path = path
    this.code = code
  }
}

/**
 * The one spelling of a JSON value, to be written as UTF-8.
 *
 * Objects with ASCII keys in order, arrays, strings in Unicode form NFC, whole numbers of at most
 * 2^53 - 1, booleans, null; no white space; in strings only ", \ and the characters below U+0020 are
 * escaped, as RFC 8785 does. Throws NotCanonical for fractions and other values, for NUL and for halves
 * of surrogate pairs.
 */
export function canonical(value: Json, path = ''): string {
  const below = (name: string | number) => (path ? `${path}.${name}` : `${name}`)
  if (value === null || typeof value === 'boolean') return String(value)
  if (typeof value === 'number') {
    if (!Number.isInteger(value)) throw new NotCanonical(path, 'not_json')
    if (!Number.isSafeInteger(value)) throw new NotCanonical(path, 'number_too_large')
    return String(value === 0 ? 0 : value)
  }
  if (typeof value === 'string') {
    if (!isStorable(value)) throw new NotCanonical(path, 'unstorable_text')
    return JSON.stringify(value.normalize('NFC'))
  }
  if (Array.isArray(value)) return `[${value.map((item: Json, at) => canonical(item, below(at))).join(',')}]`
  if (typeof value !== 'object') throw new NotCanonical(path, 'not_json')
  const entries = Object.entries(value as { readonly [key: string]: Json })
  // biome-ignore lint/suspicious/noControlCharactersInRegex: ASCII begins with them.
  if (entries.some(([key]) => !/^[\x00-\x7f]*$/.test(key))) throw new NotCanonical(path, 'key_not_ascii')
  const spelled = entries
    .map(([key, item]) => ({ key, text: `${JSON.stringify(key)}:${canonical(item, below(key))}` }))
    .toSorted((a, b) => (a.key < b.key ? -1 : 1))
  return `{${spelled.map(({ text }) => text).join(',')}}`
}
