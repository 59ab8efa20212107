import { exact, over, times } from '../numbers/decimal.ts'
import { roundHalf } from '../numbers/money.ts'

/** An amount as whole percent of another, half up; null where the other is not above zero. */
export function percentOfAmount(minor: number, of: number | null): number | null {
  return of === null || of <= 0
    ? null
    : roundHalf(over(times(exact(minor), exact(100)), exact(of)), 'half_up')
}
