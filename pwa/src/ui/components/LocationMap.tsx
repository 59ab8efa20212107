import type { Position } from '../../domain/geo/places'
import { type MapLayerProps, MarkerCircle, RouteLine, TileLayer, YardSquare } from './mapLayers'
import { fitProjection, MAP_WIDTH } from './mapProjection'

export interface MapMarker {
  key: string
  position: Position
  label: string
}

interface Props {
  label: string
  yard: Position | null
  yardLabel: string
  markers: readonly MapMarker[]
  /** Straight lines between positions. */
  lines?: readonly (readonly Position[])[]
  /** Map tiles behind the drawing, and the attribution that their service asks for. */
  tiles?: { template: string; credit: string } | null
  /** Called with the position of a tap. */
  onPick?: (position: Position) => void
}

/** Positions drawn to scale, north up; works without a network. Map tiles lie behind it where the shop has configured them. */
export function LocationMap(props: Props) {
  const { yard, markers, tiles, onPick } = props
  const projection = fitProjection([...markers.map(({ position }) => position), ...(yard ? [yard] : [])])
  const drawing = <MapDrawing {...props} projection={projection} />
  return (
    <>
      {onPick ? (
        <button
          type="button"
          class="location-map pickable"
          onClick={(event) => {
            // A press by keyboard has no position; coordinates can be typed instead.
            if (event.detail === 0) return
            const box = event.currentTarget.getBoundingClientRect()
            const scale = MAP_WIDTH / event.currentTarget.clientWidth
            const { clientLeft, clientTop } = event.currentTarget
            const x = (event.clientX - box.left - clientLeft) * scale
            onPick(projection.unproject(x, (event.clientY - box.top - clientTop) * scale))
          }}
        >
          {drawing}
        </button>
      ) : (
        <div class="location-map">{drawing}</div>
      )}
      {tiles?.credit && <p class="hint">{tiles.credit}</p>}
    </>
  )
}

function MapDrawing({
  label,
  yard,
  yardLabel,
  markers,
  lines = [],
  tiles,
  projection,
}: Props & MapLayerProps) {
  return (
    <svg viewBox={`0 0 ${MAP_WIDTH} ${projection.height}`} role="img" aria-label={label}>
      {tiles && <TileLayer template={tiles.template} projection={projection} />}
      {lines.map((line, at) => (
        <RouteLine
          key={at}
          line={line}
          dash={at === 0 ? undefined : 10 * at + 10}
          halo={Boolean(tiles)}
          projection={projection}
        />
      ))}
      {yard && <YardSquare at={projection.pointOf(yard)} label={yardLabel} />}
      {markers.map(({ key, position, label }) => (
        <MarkerCircle key={key} at={projection.pointOf(position)} label={label} />
      ))}
      <g stroke="currentColor" stroke-width="6" fill="none">
        <path d="M960 92V24l-22 26M960 24l22 26" />
      </g>
      <text x="960" y="140" text-anchor="middle" font-size="44" font-weight="800" fill="currentColor">
        N
      </text>
    </svg>
  )
}
