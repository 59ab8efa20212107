import fc from 'fast-check'
import { expect, test } from 'vitest'
import { depthFor, fromSquare, onSquare, tileAddress, tilesBetween } from './mercator.ts'

const RADIUS_M = 6_378_137

/** From memory: the worked example of IOGP Publication 373-7-2, "Popular Visualisation Pseudo Mercator". */
test('a position lies where the worked example of EPSG 1024 has it', () => {
  const lat = 24 + 22 / 60 + 54.433 / 3600
  const [x, y] = onSquare({ lat, lon: -(100 + 20 / 60) })
  expect((2 * x - 1) * Math.PI * RADIUS_M).toBeCloseTo(-11_169_055.58, 1)
  expect((1 - 2 * y) * Math.PI * RADIUS_M).toBeCloseTo(2_800_000, 1)
})

test('the square ends where it is as high as it is wide', () => {
  expect(onSquare({ lat: 85.0511287798, lon: -180 })).toEqual([0, expect.closeTo(0, 9)])
  expect(onSquare({ lat: 0, lon: 0 })).toEqual([0.5, 0.5])
  expect(onSquare({ lat: -90, lon: 180 })).toEqual([1, expect.closeTo(1, 9)])
})

test('there and back is the same place', () => {
  const degrees = (most: number) => fc.double({ min: -most, max: most, noNaN: true })
  fc.assert(
    fc.property(degrees(85), degrees(180), (lat, lon) => {
      const back = fromSquare(onSquare({ lat, lon }))
      expect(back.lat).toBeCloseTo(lat, 6)
      expect(back.lon).toBeCloseTo(lon, 6)
    }),
  )
})

test('tiles cover what is shown, and none lies beyond the square', () => {
  expect(tilesBetween([0, 0], [1, 1], 0)).toEqual([{ z: 0, x: 0, y: 0 }])
  expect(tilesBetween([0.3, 0.3], [0.6, 0.4], 2)).toEqual([
    { z: 2, x: 1, y: 1 },
    { z: 2, x: 2, y: 1 },
  ])
  expect(tilesBetween([-0.2, 0.9], [0.1, 1.4], 1)).toEqual([{ z: 1, x: 0, y: 1 }])
  expect([depthFor(600, 600), depthFor(2_400, 600), depthFor(1e12, 600), depthFor(1, 600)]).toEqual([
    0, 2, 19, 0,
  ])
  expect(tileAddress('https://tiles.example/{z}/{x}/{y}.png', { z: 9, x: 115, y: 192 })).toBe(
    'https://tiles.example/9/115/192.png',
  )
})
