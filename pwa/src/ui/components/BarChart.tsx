import { useId } from 'preact/hooks'

/** How a segment is filled: segments differ by pattern, never by colour. */
export type FillPattern = 'solid' | 'hatched' | 'dotted' | 'ruled' | 'crossed' | 'plain'

export interface BarSegment {
  pattern: FillPattern
  value: number
}

export interface Bar {
  name: string
  segments: readonly BarSegment[]
  /** The value as text, at the end of the bar. */
  value: string
  /** The whole bar in words, for screen readers. */
  ariaLabel: string
}

interface Props {
  /** What the chart shows, for screen readers. */
  title: string
  bars: readonly Bar[]
  /** The value of a bar over the full width. */
  max: number
  legend?: readonly { pattern: FillPattern; text: string }[]
}

/** Characters of a value that leave a bar room beside them on a small phone. */
const MOST_BESIDE = 12

/** Horizontal stacked bars, each with its name and value beside it. Readable in black and white and by screen readers. */
export function BarChart({ title, bars, max, legend = [] }: Props) {
  const id = useId()
  const isLong = bars.some(({ value }) => value.length > MOST_BESIDE)
  return (
    <figure class={isLong ? 'bar-chart long-values' : 'bar-chart'} aria-label={title}>
      <ul>
        {bars.map((bar) => (
          <li key={bar.name}>
            <span aria-hidden="true">{bar.name}</span>
            <BarSegments id={`${id}${bar.name}`} bar={bar} max={max} />
            <b aria-hidden="true">{bar.value}</b>
          </li>
        ))}
      </ul>
      {legend.length > 0 && (
        <figcaption>
          {legend.map(({ pattern, text }) => (
            <span key={pattern}>
              <Swatch pattern={pattern} />
              {text}
            </span>
          ))}
        </figcaption>
      )}
    </figure>
  )
}

/** A pattern of a legend. */
export function Swatch({ pattern }: { pattern: FillPattern }) {
  const id = useId()
  return (
    <svg class="swatch" aria-hidden="true">
      <PatternDefinition id={id} pattern={pattern} />
      <rect width="100%" height="100%" fill={`url(#${id})`} stroke="currentColor" stroke-width="4" />
    </svg>
  )
}

/** One bar, a box for each segment. */
export function BarSegments({
  id,
  bar,
  max,
}: {
  id: string
  bar: Pick<Bar, 'segments' | 'ariaLabel'>
  max: number
}) {
  const patternId = id.replaceAll(/[^\w-]/gu, '-')
  const percent = (value: number) => `${Math.round((1000 * value) / max) / 10}%`
  let from = 0
  return (
    <svg role="img" aria-label={bar.ariaLabel}>
      {bar.segments.map(({ pattern, value }, at) => {
        const x = from
        from += value
        return (
          <g key={at}>
            <PatternDefinition id={`${patternId}-${at}`} pattern={pattern} />
            <rect
              x={percent(x)}
              width={percent(value)}
              y="1"
              height="22"
              fill={`url(#${patternId}-${at})`}
              stroke="currentColor"
              stroke-width="2"
            />
          </g>
        )
      })}
    </svg>
  )
}

/** An SVG pattern of eight by eight units in the text color. */
function PatternDefinition({ id, pattern }: { id: string; pattern: FillPattern }) {
  return (
    <pattern id={id} width="8" height="8" patternUnits="userSpaceOnUse">
      <rect width="8" height="8" class="fill-background" />
      {pattern === 'solid' && <rect width="8" height="8" fill="currentColor" />}
      {(pattern === 'hatched' || pattern === 'crossed') && (
        <path d="M-2 10 10 -2M-2 2 2 -2M6 10 10 6" stroke="currentColor" stroke-width="2" />
      )}
      {pattern === 'crossed' && (
        <path d="M-2 -2 10 10M6 -2 10 2M-2 6 2 10" stroke="currentColor" stroke-width="2" />
      )}
      {pattern === 'dotted' && <circle cx="4" cy="4" r="1.7" fill="currentColor" />}
      {pattern === 'ruled' && <path d="M0 2H8M0 6H8" stroke="currentColor" stroke-width="1.5" />}
    </pattern>
  )
}
