import { depthFor, tileAddress, tilesBetween } from '../../domain/geo/mercator'
import type { Position } from '../../domain/geo/places'
import type { fitProjection } from './mapProjection'

/** The width of a tile in units of the map: about one unit per device pixel on a phone. */
const TILE_WIDTH = 600

export interface MapLayerProps {
  projection: ReturnType<typeof fitProjection>
}

interface RouteLineProps extends MapLayerProps {
  line: readonly Position[]
  /** The length of the dashes; undefined: a solid line. */
  dash: number | undefined
  /** A light outline, so that the line stands out from map tiles. */
  halo: boolean
}

export function RouteLine({ line, dash, halo, projection }: RouteLineProps) {
  const points = line.map((place) => projection.pointOf(place).map(tenths).join(',')).join(' ')
  return (
    <g fill="none">
      {halo && <polyline points={points} class="halo" stroke-width="18" />}
      <polyline
        points={points}
        stroke="currentColor"
        stroke-width="6"
        stroke-dasharray={dash === undefined ? undefined : `${dash} 14`}
      />
    </g>
  )
}

const tenths = (value: number) => value.toFixed(1)

export function MarkerCircle({ at, label }: { at: readonly [number, number]; label: string }) {
  const [x, y] = at.map(tenths)
  return (
    <g>
      <circle cx={x} cy={y} r="42" class="fill-background" stroke="currentColor" stroke-width="8" />
      <text x={x} y={y} dy="0.36em" text-anchor="middle" font-size="52" font-weight="800" fill="currentColor">
        {label}
      </text>
    </g>
  )
}

export function YardSquare({ at: [x, y], label }: { at: readonly [number, number]; label: string }) {
  return (
    <g>
      <rect x={x - 40} y={y - 40} width="80" height="80" fill="currentColor" />
      <text x={x} y={y + 90} text-anchor="middle" font-size="44" font-weight="700" fill="currentColor">
        {label}
      </text>
    </g>
  )
}

/** Map tiles of the service that the shop has configured. Tiles that fail to load stay blank. */
export function TileLayer({
  template,
  projection,
}: {
  template: string
  projection: ReturnType<typeof fitProjection>
}) {
  const z = depthFor(projection.scale, TILE_WIDTH)
  const side = projection.scale / 2 ** z
  return (
    <g class="tiles">
      {tilesBetween(...projection.corners, z).map((tile) => {
        const [x, y] = projection.project([tile.x / 2 ** z, tile.y / 2 ** z])
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
