import './styles'
import type { Measured } from '../../../domain/bench/readings'
import { limitsOf } from '../../../domain/bench/readings'
import { inUnit } from '../../../domain/bench/readingText'
import { scaleOf } from '../../../domain/bench/scale'
import { shown } from './readingText'

const WIDTH = 320
const AXIS = 62

/** The limit as a band and the reading above it with what it could be; the words beside it say the same. */
export function Scale({ reading }: { reading: Measured }) {
  const points = scaleOf(reading)
  if (!points) return null
  const [low, high] = limitsOf(reading)
  const x = (place: number) => Math.round(place * WIDTH * 10) / 10
  const { middle } = points
  const [least, most] = [x(points.least), x(points.most)]
  const edges = [
    [points.low, low],
    [points.high, high],
  ] as const
  return (
    <svg class="reading-scale" viewBox={`0 0 ${WIDTH} 100`} aria-hidden="true">
      <line x1="0" x2={WIDTH} y1={AXIS} y2={AXIS} stroke-width="2" />
      <rect
        class="band"
        x={x(points.low ?? 0)}
        y={AXIS - 5}
        width={x((points.high ?? 1) - (points.low ?? 0))}
        height="10"
      />
      {edges.map(
        ([place, bound], side) =>
          place !== null &&
          bound && (
            <g key={side}>
              <line x1={x(place)} x2={x(place)} y1="14" y2={AXIS} stroke-width="2" stroke-dasharray="4 3" />
              <text x={Math.min(Math.max(x(place), 24), WIDTH - 24)} y="90" text-anchor="middle">
                {shown(inUnit(bound, reading.unit))}
              </text>
            </g>
          ),
      )}
      <path d={`M${least} 28V44M${least} 36H${most}M${most} 28V44`} stroke-width="3" />
      {middle !== null && <circle cx={x(middle)} cy="36" r="7" />}
    </svg>
  )
}
