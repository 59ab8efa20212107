/** The vectors of `fixtures/dispatch/byhand.json`, which the server's checker runs as well (`test_byhand.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { JobStopKind, Need } from '../contract.ts'
import { geoLink, readPosition, smsLink, straightMetres, telLink } from '../geo/places.ts'
import type { Piece } from './deck.ts'
import { checkRoute, DEFAULT_SPEED_BANDS, type RouteStop } from './routeCheck.ts'

type Pair = [number, number]
type Triple = [number, number, number]

interface VectorRig {
  payload_kg: number
  slots: number
  deck: Triple
  tows: boolean
  straps: number | null
  strap_counts: number | null
  has: Need[]
  shift: Pair
}

interface Vector {
  name: string
  rig?: Partial<VectorRig>
  least_tie_downs?: number
  from?: { lat: number; lon: number; at: number; aboard: [string, Triple][] }
  trips: {
    key: string
    kind: JobStopKind
    lat: number
    lon: number
    windows: Pair[]
    minutes: number
    needs: Need[]
    piece: Triple | null
    rig: string | null
    after: string | null
  }[][]
  expect: {
    code: string | null
    stop?: string
    over?: number
    other?: string
    leaves?: number
    home?: number
  }
}

interface Vectors {
  yard: Pair
  loading_minutes: number
  least_tie_downs: number
  rig: VectorRig
  cases: Vector[]
}

const at = new URL('../../../../fixtures/dispatch/byhand.json', import.meta.url)
const vectors: Vectors = JSON.parse(readFileSync(at, 'utf8'))

const pieceOf = (figures: Triple | null): Piece | null =>
  figures && { kg: figures[0], length_cm: figures[1], width_cm: figures[2] }

function checked({ rig, from, trips, least_tie_downs }: Vector) {
  const { payload_kg, slots, deck, tows, straps, strap_counts, has, shift } = { ...vectors.rig, ...rig }
  const [length_cm, width_cm, lanes] = deck
  const [lat, lon] = vectors.yard
  const stops = trips.map((trip) =>
    trip.map(
      ({ minutes, windows, piece, ...stop }): RouteStop => ({
        ...stop,
        position: stop,
        windows: windows.map(([opens, closes]) => ({ opens, closes })),
        service: 60 * minutes,
        piece: pieceOf(piece),
      }),
    ),
  )
  return checkRoute(
    {
      key: 'rig',
      payload_kg,
      slots,
      deck: { length_cm, width_cm, lanes, gap_cm: 15 },
      tows,
      straps,
      strapCounts: strap_counts,
      has,
      shift: { opens: shift[0], closes: shift[1] },
    },
    {
      yard: { lat, lon },
      loading: 60 * vectors.loading_minutes,
      leastTieDowns: least_tie_downs ?? vectors.least_tie_downs,
      habits: { bands: DEFAULT_SPEED_BANDS, trailer: 1.11, per_stop: 240 },
      from: from
        ? {
            position: from,
            at: from.at,
            aboard: from.aboard.map(([key, piece]) => ({ key, piece: pieceOf(piece) })),
          }
        : null,
    },
    stops,
  )
}

test.each(vectors.cases)('$name', (vector) => {
  const { faults, home, visits } = checked(vector)
  const { code, stop, over, other } = vector.expect
  if (code === null) {
    expect(faults).toEqual([])
    // The phone's straight line is within a thousandth of the server's geodesic.
    expect(Math.abs((home ?? 0) - (vector.expect.home ?? 0))).toBeLessThanOrEqual(5)
    expect(visits).toHaveLength(vector.trips.flat().length)
    return
  }
  const [first] = faults
  expect(first).toMatchObject({ code, stop })
  if (over !== undefined) expect(first?.over).toBe(over)
  if (other !== undefined) expect(first?.other).toBe(other)
})

test('what is not known is said, and nothing is said of it', () => {
  const [whole] = vectors.cases
  const trip = whole?.trips[0]?.map((stop) => ({ ...stop, piece: null })) ?? []
  const { faults, noSize } = checked({ ...(whole as Vector), trips: [trip] })
  expect(faults).toEqual([])
  expect(noSize).toEqual(['a', 'b'])
})

// Meridian arc from equator to 1 degree north on WGS 84, 110574.4 m, and one degree of the equator, 111319.5 m: values
// of the World Geodetic System's own tables, from memory.
test.each([
  [{ lat: 0, lon: 0 }, { lat: 1, lon: 0 }, 110_574.4],
  [{ lat: 0, lon: 179.5 }, { lat: 0, lon: -179.5 }, 111_319.5],
])('metres from %o to %o', (one, other, metres) => {
  expect(Math.abs(straightMetres(one, other) - metres) / metres).toBeLessThan(0.001)
})

// The examples of RFC 5870, section 6, and forms that people paste.
test.each([
  ['geo:13.4125,103.8667', { lat: 13.4125, lon: 103.8667 }],
  ['geo:48.2010,16.3695,183', { lat: 48.201, lon: 16.3695 }],
  ['geo:48.198634,16.371648;crs=wgs84;u=40', { lat: 48.198634, lon: 16.371648 }],
  ['geo:1,2;crs=Moon-2011', null],
  ['40.71280, -74.00600', { lat: 40.7128, lon: -74.006 }],
  ['40.7128° N 74.006° W', { lat: 40.7128, lon: -74.006 }],
  ['91, 0', null],
  ['the barn', null],
])('reads %s', (text, position) => expect(readPosition(text)).toEqual(position))

// RFC 5870, RFC 3966 and RFC 5724: what a phone opens.
test('links to the phone’s own programs', () => {
  expect(geoLink({ lat: 48.201, lon: 16.3695 })).toBe('geo:48.201,16.3695')
  expect(telLink('+1 (201) 555-0123')).toBe('tel:+12015550123')
  expect(smsLink('+15105550101', 'hello there & well')).toBe(
    'sms:+15105550101?body=hello%20there%20%26%20well',
  )
})
