import { expect, test } from 'vitest'
import { areApart, type Mark, moved, shapesOf, strokeWidth } from './marks'

const near = (found: number, wanted: number) => expect(found).toBeCloseTo(wanted, 6)

test('an arrow is a line to its tip and two wings that end behind it, equally long', () => {
  const arrow: Mark = { kind: 'arrow', from: [0.1, 0.5], to: [0.9, 0.5] }
  const [shaft, head] = shapesOf(arrow, 1000, 500)
  expect(shaft).toEqual({
    kind: 'line',
    points: [
      [100, 250],
      [900, 250],
    ],
  })
  if (head?.kind !== 'line') throw new Error('no head')
  const [left, tip, right] = head.points
  expect(tip).toEqual([900, 250])
  // 7 strokes of 12 px at 30 degrees: 84 cos 30 = 72.746 back, 84 sin 30 = 42 aside, by hand.
  near(left?.[0] ?? 0, 900 - 72.74613391789285)
  near(left?.[1] ?? 0, 250 - 42)
  near(right?.[0] ?? 0, 900 - 72.74613391789285)
  near(right?.[1] ?? 0, 250 + 42)
})

test('a ring is a circle in pixels, whatever the shape of the picture', () => {
  const ring: Mark = { kind: 'ring', from: [0.5, 0.5], to: [0.5, 0.9] }
  expect(shapesOf(ring, 1000, 500)).toEqual([{ kind: 'circle', middle: [500, 250], radius: 200 }])
  // Never a dot.
  expect(shapesOf({ ...ring, to: [0.5, 0.5] }, 1000, 500)).toEqual([
    { kind: 'circle', middle: [500, 250], radius: 36 },
  ])
})

test('a short arrow has a head no longer than most of it', () => {
  const [, head] = shapesOf({ kind: 'arrow', from: [0.5, 0.5], to: [0.54, 0.5] }, 1000, 1000)
  if (head?.kind !== 'line') throw new Error('no head')
  near(Math.hypot((head.points[0]?.[0] ?? 0) - 540, (head.points[0]?.[1] ?? 0) - 500), 24)
})

test('a tap beside the first is not yet the second', () => {
  expect(areApart([0.5, 0.5], [0.52, 0.5], 1000, 500)).toBe(false)
  expect(areApart([0.5, 0.5], [0.53, 0.5], 1000, 500)).toBe(true)
  expect(areApart([0.5, 0.5], [0.5, 0.55], 1000, 500)).toBe(false)
})

test('strokes grow with the picture and never vanish', () => {
  expect(strokeWidth(2048, 1536)).toBeCloseTo(24.576, 6)
  expect(strokeWidth(60, 40)).toBe(2)
})

test('a place stays on the picture', () => {
  expect(moved([0.99, 0.5], [0.05, -0.02])).toEqual([1, 0.48])
  expect(moved([0.01, 0.5], [-0.05, 0])).toEqual([0, 0.5])
})
