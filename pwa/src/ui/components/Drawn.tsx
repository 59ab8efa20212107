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
  /** A tap on the drawing gives the position it points at. */
  onPick?: (position: Position) => void
}

const WIDE = 1000
const EDGE = 90
/** Kept free on the right, for the arrow. */
const ARROW = 100
const LEAST_DEGREES = 0.01

/** Places as they lie to each other, north up: a drawing of our own. */
export function Drawn({ label, home, homeWords, marks, lines = [], onPick }: Props) {
  const all = [...marks.map(({ position }) => position), ...(home ? [home] : [])]
  const sheet = fitted(all)
  const xy = (at: Position) => sheet.xy(at).map((value) => value.toFixed(1))
  const drawing = (
    <svg viewBox={`0 0 ${WIDE} ${sheet.high}`} role="img" aria-label={label}>
      {lines.map((line, at) => (
        <polyline
          key={at}
          points={line.map((place) => xy(place).join(',')).join(' ')}
          fill="none"
          stroke="currentColor"
          stroke-width="6"
          stroke-dasharray={at === 0 ? undefined : `${10 * at + 10} 14`}
        />
      ))}
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
  if (!onPick) return <div class="drawn">{drawing}</div>
  return (
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
  const lats = places.map(({ lat }) => lat)
  const lons = places.map(({ lon }) => lon)
  const middle = {
    lat: (Math.min(...lats) + Math.max(...lats)) / 2,
    lon: (Math.min(...lons) + Math.max(...lons)) / 2,
  }
  const narrow = Math.max(0.05, Math.cos((middle.lat * Math.PI) / 180))
  const east = Math.max(LEAST_DEGREES, (Math.max(...lons) - Math.min(...lons)) * narrow)
  const north = Math.max(LEAST_DEGREES, Math.max(...lats) - Math.min(...lats))
  const room = WIDE - 2 * EDGE - ARROW
  const scale = Math.min(room / east, (1.2 * room) / north)
  const high = Math.max(500, north * scale + 2 * EDGE + 60)
  return {
    high: Math.round(high),
    xy: ({ lat, lon }: Position) =>
      [
        (WIDE - ARROW) / 2 + (lon - middle.lon) * narrow * scale,
        (high - 60) / 2 - (lat - middle.lat) * scale,
      ] as const,
    back: (x: number, y: number): Position => ({
      lat: middle.lat - (y - (high - 60) / 2) / scale,
      lon: middle.lon + (x - (WIDE - ARROW) / 2) / scale / narrow,
    }),
  }
}
