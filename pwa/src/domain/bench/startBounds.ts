/**
 * What a number of good starts says about a fault that comes and goes.
 *
 * Each start is taken as independent of the others, with the same chance of showing the fault. Twin:
 * `shopapi/bench/rules/start_bounds.py`; both run the vectors of `fixtures/bench/start_bounds.json`.
 */

/** How often the true rate is above the bound. */
export const DOUBT = 0.05
const STEPS = 60

/** How often a fault that shows in `rate` of the tries is missed in all of them: (1 - rate)^tries. */
export function missedShare(rate: number, tries: number): number {
  if (!(rate >= 0 && rate <= 1 && tries >= 0)) throw new RangeError('outside')
  return (1 - rate) ** tries
}

/**
 * The fault rate that `bad` of `tries` leaves possible: the one-sided upper limit of Clopper and Pearson (1934).
 * Without a bad try it is 1 - doubt^(1/tries), near the “rule of three” 3/tries.
 */
export function highestRate(tries: number, bad: number, doubt = DOUBT): number {
  if (!(bad >= 0 && bad <= tries)) throw new RangeError('outside')
  if (bad === tries) return 1
  if (bad === 0) return 1 - doubt ** (1 / tries)
  let low = bad / tries
  let high = 1
  for (let step = 0; step < STEPS; step += 1) {
    const middle = (low + high) / 2
    if (shareOfAtMost(bad, tries, middle) > doubt) low = middle
    else high = middle
  }
  return (low + high) / 2
}

/** The chance of at most `bad` in `tries`: the binomial distribution, in logarithms so that nothing overflows. */
function shareOfAtMost(bad: number, tries: number, rate: number): number {
  if (rate >= 1) return 0
  let ways = 0
  let share = 0
  for (let k = 0; k <= bad; k += 1) {
    share += Math.exp(ways + k * Math.log(rate) + (tries - k) * Math.log1p(-rate))
    ways += Math.log((tries - k) / (k + 1))
  }
  return share
}

/** How many tries, all good, rule out a fault rate of `rate` or more. */
export function neededTries(rate: number): number {
  if (!(rate > 0 && rate < 1)) throw new RangeError('outside')
  return Math.ceil(Math.log(DOUBT) / Math.log(1 - rate))
}
