/**
 * Whether a measured value is within its limit, given how sure the gauge is: ISO 14253-1 with the expanded uncertainty U
 * (k = 2) as guard band. Sources are in the twin, `shopapi/bench/rules/decisions.py`; both run
 * `fixtures/bench/decisions.json`. All figures of one call are in the same unit; a limit that is null is open on that side.
 */
import type { Verdict } from '../contract.ts'
import { compare, type Exact, exact, minus, over, plus, times } from '../numbers/decimal.ts'

export type Bound = Exact | null

const COVERAGE = exact(2)
const LEAST_RATIO = exact(4)
const ZERO = exact(0)

/** The verdict on a measured value; edges are inclusive. */
export function decideValue(value: Exact, uncertainty: Exact, low: Bound, high: Bound): Verdict {
  return decideInterval(value, value, uncertainty, low, high)
}

/** The verdict on a size between the largest blade that goes in and the smallest that does not; null: open there. */
export function decideInterval(
  goes: Bound,
  stops: Bound,
  uncertainty: Exact,
  low: Bound,
  high: Bound,
): Verdict {
  if (!low && !high) return 'no_limit'
  const least = goes && minus(goes, uncertainty)
  const most = stops && plus(stops, uncertainty)
  if ((high && least && compare(least, high) > 0) || (low && most && compare(most, low) < 0)) return 'outside'
  const aboveLow = !low || (least && compare(least, low) >= 0)
  const belowHigh = !high || (most && compare(most, high) <= 0)
  return aboveLow && belowHigh ? 'within' : 'cannot_say'
}

/** The probability that the true value is within the limits; null without a limit or an uncertainty. */
export function conformity(value: Exact, uncertainty: Exact, low: Bound, high: Bound): number | null {
  if ((!low && !high) || compare(uncertainty, ZERO) <= 0) return null
  const standard = over(uncertainty, COVERAGE)
  const at = (bound: Exact) => normal(asNumber(over(minus(bound, value), standard)))
  return (high ? at(high) : 1) - (low ? at(low) : 0)
}

/** A fraction as a number; the larger part is divided as whole numbers, so that long fractions lose nothing. */
export function asNumber({ n, d }: Exact): number {
  const whole = n / d
  return Number(whole) + Number(((n - whole * d) * 10n ** 20n) / d) / 1e20
}

/**
 * The distribution function of the standard normal distribution, to about 1e-15.
 *
 * Near the middle the series of Phi(x) - 1/2 (Abramowitz and Stegun 26.2.11), in the tails the continued fraction of its
 * complement (26.2.14). The tests hold it against scipy.
 */
export function normal(x: number): number {
  const density = Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI)
  if (Math.abs(x) < 3) {
    let term = x
    let sum = x
    for (let odd = 3; Math.abs(term) > 1e-17; odd += 2) {
      term *= (x * x) / odd
      sum += term
    }
    return 0.5 + density * sum
  }
  const size = Math.abs(x)
  let fraction = 0
  for (let k = 120; k > 0; k -= 1) fraction = k / (size + fraction)
  const tail = density / (size + fraction)
  return x > 0 ? 1 - tail : tail
}

/** Half the tolerance over the gauge's U; null for a limit on one side, or without U. */
export function uncertaintyRatio(uncertainty: Exact, low: Bound, high: Bound): Exact | null {
  if (!low || !high || compare(uncertainty, ZERO) <= 0) return null
  return over(minus(high, low), times(COVERAGE, uncertainty))
}

/** Whether a gauge is too coarse for a limit, which is said before anybody measures. */
export function isTooCoarse(uncertainty: Exact, low: Bound, high: Bound): boolean {
  const ratio = uncertaintyRatio(uncertainty, low, high)
  return ratio !== null && compare(ratio, LEAST_RATIO) < 0
}

/** Whether two readings of the same thing agree within what their gauges allow. */
export function agree(one: Exact, uncertainty: Exact, other: Exact, otherUncertainty: Exact): boolean {
  const apart = minus(one, other)
  const allowed = plus(times(uncertainty, uncertainty), times(otherUncertainty, otherUncertainty))
  return compare(times(apart, apart), allowed) <= 0
}

/**
 * The largest uncertainty of a gauge that would settle a value: how far it is from the nearer limit. Null where no gauge
 * can, because the value is exactly on a limit.
 */
export function settlingUncertainty(value: Exact, low: Bound, high: Bound): Exact | null {
  const away = [low, high].flatMap((bound) => (bound ? [absolute(minus(value, bound))] : []))
  const nearest = away.reduce<Exact | null>((a, b) => (a && compare(a, b) <= 0 ? a : b), null)
  return nearest && compare(nearest, ZERO) > 0 ? nearest : null
}

const absolute = ({ n, d }: Exact): Exact => ({ n: n < 0n ? -n : n, d })
