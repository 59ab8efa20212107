/** Where a reading and its limits are drawn on a line from 0 to 1. */
import { minus, plus } from '../numbers/decimal.ts'
import { asNumber } from './decisions.ts'
import { limitsOf, type Measured, rangeOf, uncertaintyOf } from './readings.ts'

/** Positions from 0 to 1; null where open or absent. */
export interface ScalePoints {
  low: number | null
  high: number | null
  /** The value, or the middle between two blades; null with one blade only. */
  middle: number | null
  /** The least and the most that it could be; beyond the edge where open. */
  least: number
  most: number
}

/** The points of a reading's scale; null where there is nothing to draw. */
export function scaleOf(reading: Measured): ScalePoints | null {
  const [low, high] = limitsOf(reading)
  const [goes, stops] = rangeOf(reading)
  if ((!low && !high) || (!goes && !stops)) return null
  const uncertainty = uncertaintyOf(reading.gauge)
  const number = (bound: typeof low) => bound && asNumber(bound)
  const least = goes && asNumber(uncertainty ? minus(goes, uncertainty) : goes)
  const most = stops && asNumber(uncertainty ? plus(stops, uncertainty) : stops)
  const figures = [number(low), number(high), least, most].filter((each) => each !== null)
  const [from, to] = [Math.min(...figures), Math.max(...figures)]
  // A margin beside what is drawn; where all is one point, the line is around it.
  const margin = (to - from) * 0.25 || Math.abs(from) * 0.1 || 1
  const place = (figure: number) => (figure - from + margin) / (to - from + 2 * margin)
  const at = (figure: number | null) => (figure === null ? null : place(figure))
  const [a, b] = [number(goes), number(stops)]
  return {
    low: at(number(low)),
    high: at(number(high)),
    middle: a !== null && b !== null ? place((a + b) / 2) : null,
    least: at(least) ?? 0,
    most: at(most) ?? 1,
  }
}
