/**
 * A straight line through points of several groups that share its slope, and Student's t distribution.
 *
 * Twin: `shopapi/machines/rules/regression.py`, which explains the method and its sources.
 */

type Point = readonly [x: number, y: number]

const MOST_STEPS = 300
const SMALLEST = 1e-300

/** The line of the last group. `spread`: standard deviation of the residuals; null without degrees of freedom. */
export interface FittedLine {
  slope: number
  meanX: number
  meanY: number
  count: number
  sxx: number
  freedom: number
  spread: number | null
}

/** The line through the points of these groups; null where no group has two points with different x. */
export function fitLine(groups: readonly (readonly Point[])[]): FittedLine | null {
  const filled = groups.filter((group) => group.length)
  const means = filled.map((group) => [mean(group.map(([x]) => x)), mean(group.map(([, y]) => y))] as const)
  const paired = filled.flatMap((group, place) => {
    const [mx, my] = means[place] ?? [0, 0]
    return group.map(([x, y]) => [x - mx, y - my] as const)
  })
  const sxx = sum(paired.map(([x]) => x * x))
  const [lastMeans, last] = [means.at(-1), filled.at(-1)]
  if (sxx <= 0 || !lastMeans || !last) return null
  const slope = sum(paired.map(([x, y]) => x * y)) / sxx
  const freedom = paired.length - filled.length - 1
  const squares = sum(paired.map(([x, y]) => (y - slope * x) ** 2))
  const spread = freedom > 0 ? Math.sqrt(squares / freedom) : null
  return { slope, meanX: lastMeans[0], meanY: lastMeans[1], count: last.length, sxx, freedom, spread }
}

export const lineAt = (line: FittedLine, x: number): number => line.meanY + line.slope * (x - line.meanX)

/** The standard deviation of one more point at x around the line. */
export const deviationAt = ({ spread, count, meanX, sxx }: FittedLine, x: number): number | null =>
  spread === null ? null : spread * Math.sqrt(1 + 1 / count + (x - meanX) ** 2 / sxx)

/** The chance that a value of Student's t distribution is at most t. */
export function tBelow(t: number, freedom: number): number {
  if (t * t < freedom) {
    const middle = 0.5 * incompleteBeta(0.5, freedom / 2, (t * t) / (freedom + t * t))
    return t > 0 ? 0.5 + middle : 0.5 - middle
  }
  const tail = 0.5 * incompleteBeta(freedom / 2, 0.5, freedom / (freedom + t * t))
  return t > 0 ? 1 - tail : tail
}

/** The value that is not passed with this chance. */
export function tQuantile(chance: number, freedom: number): number {
  let [low, high] = [-1, 1]
  while (tBelow(low, freedom) > chance) low *= 2
  while (tBelow(high, freedom) < chance) high *= 2
  for (let step = 0; step < MOST_STEPS; step += 1) {
    const middle = (low + high) / 2
    if (middle === low || middle === high) break
    if (tBelow(middle, freedom) < chance) low = middle
    else high = middle
  }
  return (low + high) / 2
}

/** The regularized incomplete beta function, by its continued fraction. */
function incompleteBeta(a: number, b: number, x: number): number {
  if (x <= 0 || x >= 1) return x <= 0 ? 0 : 1
  if (x > (a + 1) / (a + b + 2)) return 1 - incompleteBeta(b, a, 1 - x)
  const front = Math.exp(logBeta(a, b) + a * Math.log(x) + b * Math.log1p(-x)) / a
  let c = 1
  let d = 1 / notZero(1 - ((a + b) * x) / (a + 1))
  let value = d
  for (let m = 1; m < MOST_STEPS; m += 1) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m))
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1))
    const before = value
    for (const step of [even, odd]) {
      d = 1 / notZero(1 + step * d)
      c = notZero(1 + step / c)
      value *= c * d
    }
    if (Math.abs(value - before) <= Math.abs(value) * 1e-16) break
  }
  return front * value
}

const logBeta = (a: number, b: number): number => logGamma(a + b) - logGamma(a) - logGamma(b)

/** The logarithm of the gamma function: up to 10 by its recurrence, then by Stirling's series. */
function logGamma(x: number): number {
  let [at, shift] = [x, 0]
  while (at < 10) {
    shift -= Math.log(at)
    at += 1
  }
  const inverse = 1 / (at * at)
  const series =
    (1 / 12 - inverse * (1 / 360 - inverse * (1 / 1260 - inverse * (1 / 1680 - inverse / 1188)))) / at
  return shift + (at - 0.5) * Math.log(at) - at + 0.5 * Math.log(2 * Math.PI) + series
}

const notZero = (value: number): number => (Math.abs(value) > SMALLEST ? value : SMALLEST)

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0)

const mean = (values: readonly number[]): number => sum(values) / values.length
