/** Exact fractions of whole numbers, and the plain decimal text they are read from. */

export type DecimalText = string

/** n / d, with d above zero; not always in lowest terms. */
export interface Exact {
  readonly n: bigint
  readonly d: bigint
}

const PLAIN = /^(-?)([0-9]{1,12})(?:\.([0-9]{1,6}))?$/

/** Whether a text is a plain number: at most 12 digits before the point and 6 after, no exponent. */
export function isDecimal(text: string): boolean {
  return PLAIN.test(text)
}

/** A whole number, or a decimal from its plain text. Throws RangeError for anything else. */
export function exact(number: number | DecimalText): Exact {
  if (typeof number === 'number') return { n: BigInt(number), d: 1n }
  const found = PLAIN.exec(number)
  if (!found) throw new RangeError(`not a plain number: ${number}`)
  const [, sign = '', whole = '', part = ''] = found
  return { n: BigInt(sign + whole + part), d: 10n ** BigInt(part.length) }
}

export function plus(a: Exact, b: Exact): Exact {
  return { n: a.n * b.d + b.n * a.d, d: a.d * b.d }
}

export function minus(a: Exact, b: Exact): Exact {
  return plus(a, { n: -b.n, d: b.d })
}

export function times(a: Exact, b: Exact): Exact {
  return { n: a.n * b.n, d: a.d * b.d }
}

/** a / b, for b above zero. */
export function over(a: Exact, b: Exact): Exact {
  return { n: a.n * b.d, d: a.d * b.n }
}

/** Below zero, zero or above zero as a is less than, equal to or more than b. */
export function compare(a: Exact, b: Exact): number {
  const { n } = minus(a, b)
  return n < 0n ? -1 : n > 0n ? 1 : 0
}

/** A decimal without needless zeros: "1.50" is "1.5", "007" is "7", "-0.0" is "0". */
export function plainDecimal(text: DecimalText): string {
  const [, sign = '', whole = '', part = ''] = PLAIN.exec(text) ?? []
  const kept = part.replace(/0+$/, '')
  const number = whole.replace(/^0+(?=.)/, '') + (kept && `.${kept}`)
  return number === '0' ? '0' : sign + number
}
