import { type Position, straightMetres } from './places.ts'

/** Nearer than this nothing is left out of a drawing. */
const NEAR_M = 80_000
/** So many times as far as the middle one. */
const TIMES = 5

/**
 * Which of these positions lie so far from `center` that a drawing of all would show the others as one point: further
 * than 80 km, and than five times the middle distance. Without a center the middle of all latitudes and longitudes is.
 */
export function outliersOf(positions: readonly Position[], center: Position | null): ReadonlySet<Position> {
  const from = center ?? {
    lat: middleOf(positions.map(({ lat }) => lat)),
    lon: middleOf(positions.map(({ lon }) => lon)),
  }
  const away = positions.map((each) => straightMetres(from, each))
  const most = Math.max(NEAR_M, TIMES * middleOf(away))
  return new Set(positions.filter((_, at) => (away[at] ?? 0) > most))
}

/** The middle one of some numbers; of an even count the smaller of the two. */
const middleOf = (numbers: readonly number[]): number =>
  numbers.toSorted((a, b) => a - b)[Math.floor((numbers.length - 1) / 2)] ?? 0
