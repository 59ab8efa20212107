/**
 * Exact money: integer minor units, and the few functions that round an exact figure to them.
 *
 * All other figures are exact fractions, so every rounding is named in a comment.
 * Twin: `shopapi/core/money.py`; `tests/quotes/test_twin.py` compares them.
 */
import type { Rounding } from '../contract.ts'
import { type DecimalText, type Exact, exact, over, times } from './decimal.ts'

/** An amount in minor units: always a safe integer. */
export type Minor = number

const NO_DIGITS = /^(BIF|CLP|DJF|GNF|ISK|JPY|KMF|KRW|PYG|RWF|UGX|UYI|VND|VUV|XAF|XOF|XPF)$/
const THREE_DIGITS = /^(BHD|IQD|JOD|KWD|LYD|OMR|TND)$/
const FOUR_DIGITS = /^(CLF|UYW)$/

/** How many decimal digits a currency (three capitals) has, by ISO 4217: JPY 0, USD 2, KWD 3, CLF 4. */
export function minorDigits(currency: string): number {
  if (NO_DIGITS.test(currency)) return 0
  if (THREE_DIGITS.test(currency)) return 3
  return FOUR_DIGITS.test(currency) ? 4 : 2
}

/** The whole number nearest to a fraction; a tie goes where `rounding` says. */
export function roundHalf({ n, d }: Exact, rounding: Rounding): Minor {
  const cut = n / d
  const floor = cut * d > n ? cut - 1n : cut
  const twice = 2n * (n - floor * d)
  if (twice !== d) return Number(twice > d ? floor + 1n : floor)
  const goesUp = { half_up: true, half_away: n >= 0n, half_down: n < 0n }[rounding]
  return Number(goesUp ? floor + 1n : floor)
}

/** The multiple of `step` (at least 1) nearest to a fraction, rounded once. */
export function roundToStep(number: Exact, step: number, rounding: Rounding): Minor {
  return roundHalf(over(number, exact(step)), rounding) * step
}

/** Exactly `percent` hundredths of an amount; "6.25" means 6.25 %. */
export function percentOf(amount: Minor, percent: DecimalText): Exact {
  return over(times(exact(amount), exact(percent)), exact(100))
}

/**
 * An amount cut into whole shares in proportion to weights, with nothing lost.
 *
 * Each share is first cut down to a whole unit; the units left over go one each to the largest
 * remainders, ties to the earlier weight. The amount and the sum of the weights are zero or more; with an amount no
 * greater than that sum, no share is farther from zero than its weight. A weight below zero, of what is taken back,
 * gets a share below zero.
 */
export function shareOut(amount: Minor, weights: readonly number[]): Minor[] {
  const whole = weights.reduce((sum, weight) => sum + BigInt(weight), 0n)
  if (whole <= 0n) {
    if (amount) throw new RangeError('nothing to share the amount among')
    return weights.map(() => 0)
  }
  const cuts = weights.map((weight, at) => {
    const product = BigInt(amount) * BigInt(weight)
    const rest = ((product % whole) + whole) % whole
    return { at, share: Number((product - rest) / whole), rest }
  })
  const shares = cuts.map(({ share }) => share)
  const left = amount - sum(shares)
  const byRest = cuts.toSorted((a, b) => (a.rest === b.rest ? a.at - b.at : a.rest < b.rest ? 1 : -1))
  const next = new Set(byRest.slice(0, left).map(({ at }) => at))
  return shares.map((share, at) => (next.has(at) ? share + 1 : share))
}

export function sum(amounts: Iterable<Minor>): Minor {
  let total = 0
  for (const amount of amounts) total += amount
  return total
}

/** Minor units as plain text with a full stop: (-5, 2) is "-0.05", (5, 0) is "5". */
export function plainAmount(minor: Minor, digits: number): string {
  const figures = String(Math.abs(minor)).padStart(digits + 1, '0')
  const whole = figures.slice(0, figures.length - digits)
  const part = figures.slice(figures.length - digits)
  return (minor < 0 ? '-' : '') + (digits ? `${whole}.${part}` : whole)
}
