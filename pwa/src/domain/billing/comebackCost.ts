/** What a comeback costs. The conventions are in the twin, `shopapi/billing/rules/comebacks.py`. */
import { exact, over, times } from '../numbers/decimal.ts'
import { type Minor, roundHalf } from '../numbers/money.ts'

/** Seconds clocked, what an hour costs (null: not entered), cost of parts, and what was billed without tax. */
export interface ComebackSpent {
  readonly seconds: number
  readonly hour_minor: Minor | null
  readonly parts_minor: Minor
  readonly billed_minor: Minor
}

/** `labor` and `unbilled` are null where what an hour costs was not entered. */
export function comebackCost({ seconds, hour_minor, parts_minor, billed_minor }: ComebackSpent) {
  if (hour_minor === null) return { labor: null, unbilled: null }
  const labor = roundHalf(over(times(exact(seconds), exact(hour_minor)), exact(3600)), 'half_away')
  return { labor, unbilled: Math.max(0, labor + parts_minor - Math.max(0, billed_minor)) }
}
