/** Where readings of the same thing are drawn over a machine's life. */
import type { Reading } from '../contract.ts'
import { type Exact, minus, plus } from '../numbers/decimal.ts'
import { asNumber } from './decisions.ts'
import { limitsOf, rangeOf, uncertaintyOf } from './readings.ts'
import { inUnit } from './readingText.ts'

interface DriftPoint {
  reading: Reading
  /** Places from 0 to 1: in time, and of the value with what it could be. */
  at: number
  least: number
  middle: number
  most: number
}

interface Drift {
  unit: string
  points: readonly DriftPoint[]
  /** The limit of the latest reading; an open side goes to the edge. */
  band: { low: number; high: number } | null
  /** The figures at the lower and the upper edge, in the unit of the latest reading. */
  from: string
  to: string
}

/** A reading as numbers in the base unit; null for one blade only. */
function figuresOf(reading: Reading) {
  const [least, most] = rangeOf(reading)
  if (!least || !most) return null
  const sure = uncertaintyOf(reading.gauge)
  const from = asNumber(sure ? minus(least, sure) : least)
  const to = asNumber(sure ? plus(most, sure) : most)
  return { reading, least: from, middle: (asNumber(least) + asNumber(most)) / 2, most: to }
}

/** The points of a chart of readings, oldest first; null where there is nothing to draw. */
export function driftOf(readings: readonly Reading[]): Drift | null {
  const found = readings.flatMap((reading) => figuresOf(reading) ?? [])
  const last = found.at(-1)?.reading
  if (!last) return null
  const [low, high] = limitsOf(last).map((bound) => (bound ? asNumber(bound) : null))
  const all = [...found.flatMap(({ least, most }) => [least, most]), low, high].filter(
    (each): each is number => typeof each === 'number',
  )
  const [smallest, largest] = [Math.min(...all), Math.max(...all)]
  const margin = (largest - smallest) * 0.2 || Math.abs(smallest) * 0.05 || 1
  const [from, to] = [smallest - margin, largest + margin]
  const place = (figure: number) => (figure - from) / (to - from)
  const times = found.map(({ reading }) => Date.parse(reading.taken_at))
  const [begin = 0, end = 0] = [times[0], times.at(-1)]
  const span = end - begin
  return {
    unit: last.unit,
    points: found.map(({ reading, least, middle, most }, index) => ({
      reading,
      at:
        span > 0
          ? ((times[index] ?? begin) - begin) / span
          : found.length > 1
            ? index / (found.length - 1)
            : 0.5,
      least: place(least),
      middle: place(middle),
      most: place(most),
    })),
    band:
      typeof low === 'number' || typeof high === 'number'
        ? { low: typeof low === 'number' ? place(low) : 0, high: typeof high === 'number' ? place(high) : 1 }
        : null,
    from: inUnit(fromNumber(from), last.unit),
    to: inUnit(fromNumber(to), last.unit),
  }
}

/** A number as a fraction, to nine decimal places: enough for the figure at an edge. */
function fromNumber(value: number): Exact {
  return { n: BigInt(Math.round(value * 1e9)), d: 1_000_000_000n }
}
