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
  /** As of SVG; undefined: a solid line. */
  dashes: string | undefined
  /** A light outline, so that the line stands out from map tiles. */
  halo: boolean
}

export function RouteLine({ line, dashes, halo, projection }: RouteLineProps) {
  const points = line.map((place) => projection.pointOf(place).map(tenths).join(',')).join(' ')
  return (
    <g fill="none">
      {halo && <polyline points={points} class="halo" stroke-width="18" />}
      <polyline points={points} stroke="currentColor" stroke-width="6" stroke-dasharray={dashes} />
    </g>
  )
}

const tenths = (value: number) => value.toFixed(1)

/** Outlines of about the same size around 0, 0, told apart without color. The first is a circle. */
const OUTLINES = [
  'M-42 0a42 42 0 1 0 84 0a42 42 0 1 0-84 0',
  'M-38-38h76v76h-76z',
  'M0-56L54 0L0 56L-54 0z',
  'M0-58L56 38H-56z',
  'M-26-42H26L52 0L26 42H-26L-52 0z',
  'M-62-28h124v56h-124z',
] as const
/** As many kinds of lines: solid, then dashes and dots. */
export const LINE_DASHES = [undefined, '24 14', '4 12', '46 12 4 12', '46 12 4 12 4 12', '12 12'] as const

export const outlineOf = (shape: number): string => OUTLINES[shape % OUTLINES.length] ?? OUTLINES[0]
export const dashesOf = (shape: number): string | undefined => LINE_DASHES[shape % LINE_DASHES.length]

export function Marker({
  at: [x, y],
  label,
  shape = 0,
  current = false,
}: {
  at: readonly [number, number]
  label: string
  shape?: number | undefined
  /** Drawn with a thick outline. */
  current?: boolean | undefined
}) {
  return (
    <g transform={`translate(${tenths(x)} ${tenths(y)})`}>
      <path
        d={outlineOf(shape)}
        class="fill-background"
        stroke="currentColor"
        stroke-width={current ? 16 : 8}
      />
      <text dy="0.36em" text-anchor="middle" font-size="52" font-weight="800" fill="currentColor">
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
