import type { Position } from './places'

/**
 * The square that maps of tiles are cut from (EPSG:3857, "Pseudo-Mercator"): x from 0 at 180° west to 1 at 180° east,
 * y from 0 in the north to 1 in the south.
 */
export type OnSquare = readonly [x: number, y: number]

/** The latitude at which the square ends. */
const POLE = 85.0511287798
const RADIAN = Math.PI / 180

export function onSquare({ lat, lon }: Position): OnSquare {
  const north = Math.max(-POLE, Math.min(POLE, lat)) * RADIAN
  return [(lon + 180) / 360, (1 - Math.asinh(Math.tan(north)) / Math.PI) / 2]
}

export function fromSquare([x, y]: OnSquare): Position {
  return { lat: Math.atan(Math.sinh(Math.PI * (1 - 2 * y))) / RADIAN, lon: 360 * x - 180 }
}

/** One tile: the square cut into 2^z by 2^z, counted from the north-west. */
export interface Tile {
  z: number
  x: number
  y: number
}

const DEEPEST = 19

/** The zoom level at which a tile is about `side` wide if the whole square is `wide`. */
export function depthFor(wide: number, side: number): number {
  return Math.max(0, Math.min(DEEPEST, Math.round(Math.log2(wide / side))))
}

/** The tiles that cover what lies between two corners, north-west and south-east. */
export function tilesBetween([left, top]: OnSquare, [right, bottom]: OnSquare, z: number): Tile[] {
  const count = 2 ** z
  const at = (share: number) => Math.max(0, Math.min(count - 1, Math.floor(share * count)))
  const tiles: Tile[] = []
  for (let y = at(top); y <= at(bottom); y++)
    for (let x = at(left); x <= at(right); x++) tiles.push({ z, x, y })
  return tiles
}

/** The address of a tile, by a template such as "https://tiles.example/{z}/{x}/{y}.png". */
export function tileAddress(template: string, tile: Tile): string {
  return template.replace(/\{([xyz])\}/gu, (_, name: keyof Tile) => String(tile[name]))
}
