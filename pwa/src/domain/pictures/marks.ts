/** Arrows and rings drawn on a picture. Pure: where they go in pixels; `ui` paints them. */

/** A place on a picture as shares of its width and height, each 0 to 1. */
export type Point = readonly [x: number, y: number]
/** An arrow points from its first place to its second; a ring has its middle and a place on its edge. */
export interface Mark {
  kind: 'arrow' | 'ring'
  from: Point
  to: Point
}

type Pixel = readonly [x: number, y: number]
export type Shape =
  | { kind: 'line'; points: readonly Pixel[] }
  | { kind: 'circle'; middle: Pixel; radius: number }

/** Of the longest side: visible on a thumbnail of 120 px too. */
const STROKE_SHARE = 0.012
/** Half the angle of an arrow's head. */
const HEAD_ANGLE = Math.PI / 6
const HEAD_IN_STROKES = 7
/** A ring smaller than this would be a dot. */
const LEAST_RADIUS_IN_STROKES = 3
/** Two taps nearer than this share of the longest side are one tap. */
const LEAST_SHARE = 0.03

/** How wide the white of a stroke is, in pixels; its black edge is as wide on both sides together. */
export const strokeWidth = (width: number, height: number): number =>
  Math.max(2, Math.max(width, height) * STROKE_SHARE)

/** Whether two places are far enough apart to be the two ends of a mark. */
export function areApart(one: Point, other: Point, width: number, height: number): boolean {
  return (
    distance(pixelOf(one, width, height), pixelOf(other, width, height)) >=
    Math.max(width, height) * LEAST_SHARE
  )
}

/** What is painted for a mark on a picture of this size. */
export function shapesOf({ kind, from, to }: Mark, width: number, height: number): Shape[] {
  const [start, end] = [pixelOf(from, width, height), pixelOf(to, width, height)]
  const stroke = strokeWidth(width, height)
  if (kind === 'ring') {
    const radius = Math.max(distance(start, end), stroke * LEAST_RADIUS_IN_STROKES)
    return [{ kind: 'circle', middle: start, radius }]
  }
  const angle = Math.atan2(end[1] - start[1], end[0] - start[0])
  const length = Math.min(stroke * HEAD_IN_STROKES, distance(start, end) * 0.6)
  const wing = (turn: number): Pixel => [
    end[0] - length * Math.cos(angle + turn),
    end[1] - length * Math.sin(angle + turn),
  ]
  return [
    { kind: 'line', points: [start, end] },
    { kind: 'line', points: [wing(HEAD_ANGLE), end, wing(-HEAD_ANGLE)] },
  ]
}

/** A place moved by shares of the width and height, kept on the picture. */
export const moved = ([x, y]: Point, by: Point): Point => [within(x + by[0]), within(y + by[1])]

const within = (share: number) => Math.min(1, Math.max(0, share))

const pixelOf = ([x, y]: Point, width: number, height: number): Pixel => [x * width, y * height]

const distance = ([ax, ay]: Pixel, [bx, by]: Pixel): number => Math.hypot(ax - bx, ay - by)
