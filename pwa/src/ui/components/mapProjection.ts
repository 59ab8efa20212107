import { fromSquare, type OnSquare, onSquare } from '../../domain/geo/mercator'
import type { Position } from '../../domain/geo/places'

/** The width of the map; all other lengths are in the same unit. */
export const MAP_WIDTH = 1000
const MARGIN = 90
/** Kept free on the right for the north arrow. */
const ARROW_WIDTH = 100
/** The smallest span in Mercator units, about a kilometre at the equator. */
const MIN_SPAN = 0.01 / 360

/** A projection that fits all positions inside the margins, at one scale in both directions. */
export function fitProjection(places: readonly Position[]) {
  const xs = places.map((place) => onSquare(place)[0])
  const ys = places.map((place) => onSquare(place)[1])
  const [west, east, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)]
  const room = MAP_WIDTH - 2 * MARGIN - ARROW_WIDTH
  const width = Math.max(MIN_SPAN, east - west)
  const depth = Math.max(MIN_SPAN, bottom - top)
  const scale = Math.min(room / width, (1.2 * room) / depth)
  const height = Math.round(Math.max(500, depth * scale + 2 * MARGIN + 60))
  // The Mercator coordinates of the left and upper edge.
  const left = (west + east) / 2 - (MAP_WIDTH - ARROW_WIDTH) / 2 / scale
  const upper = (top + bottom) / 2 - (height - 60) / 2 / scale
  return {
    height,
    scale,
    pointOf: (place: Position) => project(onSquare(place)),
    project,
    unproject: (x: number, y: number): Position => fromSquare([left + x / scale, upper + y / scale]),
    corners: [
      [left, upper],
      [left + MAP_WIDTH / scale, upper + height / scale],
    ] as const,
  }
  function project([x, y]: OnSquare) {
    return [(x - left) * scale, (y - upper) * scale] as const
  }
}
