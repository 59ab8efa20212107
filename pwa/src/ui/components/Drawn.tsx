import {
  depthFor,
  fromSquare,
  type OnSquare,
  onSquare,
  tileAddress,
  tilesBetween,
} from '../../domain/mercator'
import type { Position } from '../../domain/places'

export interface Mark {
  key: string
  position: Position
  mark: string
}

interface Props {
  label: string
  home: Position | null
  homeWords: string
  marks: readonly Mark[]
  /** Straight lines from place to place. */
  lines?: readonly (readonly Position[])[]
  /** The tiles of a map behind it, and what their maker wants to be said. */
  tiles?: { template: string; credit: string } | null
  /** A tap on the drawing gives the position it points at. */
  onPick?: (position: Position) => void
}

const WIDE = 1000
const EDGE = 90
/** Kept free on the right, for the arrow. */
const ARROW = 100
/** Of the square; a kilometre at the equator. */
const LEAST = 0.01 / 360
/** How wide a tile is about: on a phone as many dots as it has. */
const TILE = 600

/** Places as they lie to each other, north up: a drawing of our own, with a map behind it where the shop has one. */
export function Drawn({ label, home, homeWords, marks, lines = [], tiles, onPick }: Props) {
  const all = [...marks.map(({ position }) => position), ...(home ? [home] : [])]
  const sheet = fitted(all)
  const xy = (at: Position) => sheet.xy(at).map((value) => value.toFixed(1))
  const drawing = (
    <svg viewBox={`0 0 ${WIDE} ${sheet.high}`} role="img" aria-label={label}>
      {tiles && <Tiles template={tiles.template} sheet={sheet} />}
      {lines.map((line, at) => {
        const points = line.map((place) => xy(place).join(',')).join(' ')
        return (
          <g key={at} fill="none">
            {tiles && <polyline points={points} class="halo" stroke-width="18" />}
            <polyline
              points={points}
              stroke="currentColor"
              stroke-width="6"
              stroke-dasharray={at === 0 ? undefined : `${10 * at + 10} 14`}
            />
          </g>
        )
      })}
      {home && <Home at={sheet.xy(home)} words={homeWords} />}
      {marks.map(({ key, position, mark }) => {
        const [x, y] = xy(position)
        return (
          <g key={key}>
            <circle cx={x} cy={y} r="42" class="paper" stroke="currentColor" stroke-width="8" />
            <text
              x={x}
              y={y}
              dy="0.36em"
              text-anchor="middle"
              font-size="52"
              font-weight="800"
              fill="currentColor"
            >
              {mark}
            </text>
          </g>
        )
      })}
      <g stroke="currentColor" stroke-width="6" fill="none">
        <path d="M960 92V24l-22 26M960 24l22 26" />
      </g>
      <text x="960" y="140" text-anchor="middle" font-size="44" font-weight="800" fill="currentColor">
        N
      </text>
    </svg>
  )
  const credit = tiles?.credit && <p class="hint">{tiles.credit}</p>
  if (!onPick)
    return (
      <>
        <div class="drawn">{drawing}</div>
        {credit}
      </>
    )
  return (
    <>
      <button
        type="button"
        class="drawn pick-place"
        onClick={(event) => {
          // A press by keyboard points nowhere; coordinates can be typed instead.
          if (event.detail === 0) return
          const box = event.currentTarget.getBoundingClientRect()
          const scale = WIDE / event.currentTarget.clientWidth
          const { clientLeft, clientTop } = event.currentTarget
          const x = (event.clientX - box.left - clientLeft) * scale
          onPick(sheet.back(x, (event.clientY - box.top - clientTop) * scale))
        }}
      >
        {drawing}
      </button>
      {credit}
    </>
  )
}

function Home({ at: [x, y], words }: { at: readonly [number, number]; words: string }) {
  return (
    <g>
      <rect x={x - 40} y={y - 40} width="80" height="80" fill="currentColor" />
      <text x={x} y={y + 90} text-anchor="middle" font-size="44" font-weight="700" fill="currentColor">
        {words}
      </text>
    </g>
  )
}

/** A sheet on which every place lies inside the edge, at one scale both ways. */
function fitted(places: readonly Position[]) {
  const xs = places.map((place) => onSquare(place)[0])
  const ys = places.map((place) => onSquare(place)[1])
  const [west, east, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)]
  const room = WIDE - 2 * EDGE - ARROW
  const far = Math.max(LEAST, east - west)
  const deep = Math.max(LEAST, bottom - top)
  const scale = Math.min(room / far, (1.2 * room) / deep)
  const high = Math.round(Math.max(500, deep * scale + 2 * EDGE + 60))
  // What lies at the sheet's left and upper edge.
  const left = (west + east) / 2 - (WIDE - ARROW) / 2 / scale
  const over = (top + bottom) / 2 - (high - 60) / 2 / scale
  return {
    high,
    scale,
    xy: (place: Position) => laid(onSquare(place)),
    laid,
    back: (x: number, y: number): Position => fromSquare([left + x / scale, over + y / scale]),
    corners: [
      [left, over],
      [left + WIDE / scale, over + high / scale],
    ] as const,
  }
  function laid([x, y]: OnSquare) {
    return [(x - left) * scale, (y - over) * scale] as const
  }
}

/** A layer of tiles from a service that the shop has chosen. What does not come stays blank. */
function Tiles({ template, sheet }: { template: string; sheet: ReturnType<typeof fitted> }) {
  const z = depthFor(sheet.scale, TILE)
  const side = sheet.scale / 2 ** z
  return (
    <g class="tiles">
      {tilesBetween(...sheet.corners, z).map((tile) => {
        const [x, y] = sheet.laid([tile.x / 2 ** z, tile.y / 2 ** z])
        return (
          <image
            key={`${tile.x}/${tile.y}`}
            href={tileAddress(template, tile)}
            x={x}
            y={y}
            width={side}
            height={side}
            onError={(event) => event.currentTarget.remove()}
          />
        )
      })}
    </g>
  )
}
