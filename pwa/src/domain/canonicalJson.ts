/**
 * The canonical form of JSON by RFC 8785 (JSON Canonicalization Scheme), so that phone and server hash the same bytes.
 *
 * The server uses the library `rfc8785`: `shopapi/quotes/rules/canonical_json.py`. Vectors: `fixtures/canonical_json`.
 */
export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json }

// With the u flag only half of a surrogate pair counts as a surrogate.
const LONE_SURROGATE = /\p{Surrogate}/u

/**
 * The canonical form of a JSON value, to be hashed as UTF-8. Texts are not normalized.
 *
 * Throws TypeError for what has none: NaN, infinities, halves of surrogate pairs, values that are not JSON.
 */
export function canonicalize(value: Json): string {
  if (Array.isArray(value)) return `[${value.map((item: Json) => canonicalize(item)).join(',')}]`
  if (typeof value === 'object' && value !== null) {
    const object = value as { readonly [key: string]: Json }
    // Without a function, sort compares by UTF-16 code units, as section 3.2.3 requires.
    const keys = Object.keys(object).sort()
    return `{${keys.map((key) => `${canonicalize(key)}:${canonicalize(object[key] as Json)}`).join(',')}}`
  }
  const hasForm = typeof value === 'number' ? Number.isFinite(value) : !LONE_SURROGATE.test(String(value))
  // Numbers and texts of RFC 8785 are those of ECMAScript.
  const text = hasForm ? JSON.stringify(value) : undefined
  if (text === undefined) throw new TypeError('not canonical JSON')
  return text
}
