import './styles'
import { driftOf } from '../../../domain/bench/drift'
import type { Reading } from '../../../domain/contract'
import { readingView as t, verdicts } from '../../../domain/words/readings'
import { dayOf, format } from '../../shopFormat'
import { figure, valueText } from './readingText'

const WIDTH = 320
const HEIGHT = 150
const LEFT = 8
const TOP = 22
const PLOT = { width: WIDTH - 2 * LEFT, height: HEIGHT - TOP - 26 }

/** The same thing over a machine's life: points with what they could be, the limit as a band. A filled point is outside. */
export function DriftChart({ readings }: { readings: readonly Reading[] }) {
  const drift = driftOf(readings)
  if (!drift) return null
  const { unit, points, band, from, to } = drift
  const x = (place: number) => LEFT + place * PLOT.width
  const y = (place: number) => TOP + (1 - place) * PLOT.height
  const first = points[0]?.reading
  const last = points.at(-1)?.reading
  const rows = points.map(
    ({ reading }) =>
      `${format.value.day(dayOf(reading.taken_at))}: ${valueText(reading)}, ${verdicts[reading.verdict]}`,
  )
  return (
    <svg
      class="drift-chart"
      viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      role="img"
      aria-label={t.driftLabel(rows.join('; '))}
    >
      {band && (
        <rect class="band" x={LEFT} width={PLOT.width} y={y(band.high)} height={y(band.low) - y(band.high)} />
      )}
      <path
        d={points.map(({ at, middle }, index) => `${index ? 'L' : 'M'}${x(at)} ${y(middle)}`).join('')}
        stroke-width="2"
      />
      {points.map(({ reading, at, least, middle, most }) => (
        <g key={reading.id}>
          <line x1={x(at)} x2={x(at)} y1={y(least)} y2={y(most)} stroke-width="2" />
          <circle class={reading.verdict} cx={x(at)} cy={y(middle)} r="5" />
        </g>
      ))}
      <text x={LEFT} y="14">
        {figure(to, unit)}
      </text>
      <text x={LEFT} y={TOP + PLOT.height + 4}>
        {figure(from, unit)}
      </text>
      {first && (
        <text x={LEFT} y={HEIGHT - 2}>
          {format.value.day(dayOf(first.taken_at))}
        </text>
      )}
      {last && (
        <text x={WIDTH - LEFT} y={HEIGHT - 2} text-anchor="end">
          {format.value.day(dayOf(last.taken_at))}
        </text>
      )}
    </svg>
  )
}
