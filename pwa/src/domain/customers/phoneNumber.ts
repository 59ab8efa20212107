/** A telephone number has at least so many digits: fewer are the end of one, or of a serial number. */
const FEWEST_DIGITS = 7

/** The digits of what was typed if it is a telephone number and nothing else; else empty. */
export function phoneDigits(typed: string): string {
  const digits = typed.replaceAll(/\D/g, '')
  return digits.length >= FEWEST_DIGITS && /^[+\d\s().\-/]+$/.test(typed) ? digits : ''
}

/** Whether two numbers ring the same telephone: one may be without the code of the country or the area. */
export function isSameNumber(one: string, other: string): boolean {
  return Math.min(one.length, other.length) >= FEWEST_DIGITS && (one.endsWith(other) || other.endsWith(one))
}
