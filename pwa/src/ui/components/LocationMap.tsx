import { outliersOf } from '../../domain/geo/outliers'
import { type Position, straightMetres } from '../../domain/geo/places'
import { type MapLayerProps, Marker, RouteLine, TileLayer, YardSquare } from './mapLayers'
import { fitProjection, MAP_WIDTH } from './mapProjection'

/** Half of what a fingertip covers. */
const FINGERTIP_PX = 22

export interface MapMarker {
  key: string
  position: Position
  label: string
  /** The kind of its outline, by number. */
  shape?: number
  current?: boolean
}

interface Props {
  label: string
  yard: Position | null
  yardLabel: string
  markers: readonly MapMarker[]
  /** Straight lines between positions. */
  lines?: readonly (readonly Position[])[]
  /** The dashes of a line by its number; by default the first is solid, and the dashes grow. */
  dashes?: (line: number) => string | undefined
  /** Map tiles behind the drawing, and the attribution that their service asks for. */
  tiles?: { template: string; credit: string } | null
  /** What is said of markers that are left out because they lie too far off, by their labels. */
  leftOut: (labels: readonly string[]) => string
  /** Called with the position of a tap, and how far off a fingertip may be there, in metres. */
  onPick?: (position: Position, withinM: number) => void
}

/** Positions drawn to scale, north up; works without a network. Map tiles lie behind it where the shop has configured them. */
export function LocationMap(props: Props) {
  const { yard, tiles, leftOut, onPick } = props
  const far = outliersOf(
    props.markers.map(({ position }) => position),
    yard,
  )
  const markers = props.markers.filter(({ position }) => !far.has(position))
  const lines = props.lines?.map((line) => line.filter((position) => !far.has(position)))
  const projection = fitProjection([...markers.map(({ position }) => position), ...(yard ? [yard] : [])])
  const drawing = <MapDrawing {...props} markers={markers} lines={lines ?? []} projection={projection} />
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
            const y = (event.clientY - box.top - clientTop) * scale
            const position = projection.unproject(x, y)
            const beside = projection.unproject(x + FINGERTIP_PX * scale, y)
            onPick(position, Math.ceil(straightMetres(position, beside)))
          }}
        >
          {drawing}
        </button>
      ) : (
        <div class="location-map">{drawing}</div>
      )}
      {far.size > 0 && (
        <p class="hint">
          {leftOut(props.markers.flatMap(({ position, label }) => (far.has(position) ? [label] : [])))}
        </p>
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
  lines,
  dashes,
  tiles,
  projection,
}: Omit<Props, 'lines'> & { lines: readonly (readonly Position[])[] } & MapLayerProps) {
  return (
    <svg viewBox={`0 0 ${MAP_WIDTH} ${projection.height}`} role="img" aria-label={label}>
      {tiles && <TileLayer template={tiles.template} projection={projection} />}
      {lines.map((line, at) => (
        <RouteLine
          key={at}
          line={line}
          dashes={dashes ? dashes(at) : at === 0 ? undefined : `${10 * at + 10} 14`}
          halo={Boolean(tiles)}
          projection={projection}
        />
      ))}
      {yard && <YardSquare at={projection.pointOf(yard)} label={yardLabel} />}
      {markers.map(({ key, position, ...mark }) => (
        <Marker key={key} at={projection.pointOf(position)} {...mark} />
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
