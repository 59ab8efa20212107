import { useId } from 'preact/hooks'

/** How a part of a bar is drawn: told apart by its pattern, never by a colour. */
export type Ink = 'solid' | 'hatched' | 'dotted' | 'ruled' | 'crossed' | 'plain'

export interface BarPart {
  ink: Ink
  value: number
}

export interface Bar {
  name: string
  parts: readonly BarPart[]
  /** What stands at its end. */
  figure: string
  /** All of it in words, for those who hear it. */
  told: string
}

interface Props {
  /** What the picture shows. */
  title: string
  bars: readonly Bar[]
  /** The value at which a bar is as long as the glass is wide. */
  most: number
  legend?: readonly { ink: Ink; words: string }[]
}

/** Lying bars, one a line, each with its words beside it. Reads the same in black and white and aloud. */
export function Bars({ title, bars, most, legend = [] }: Props) {
  const id = useId()
  return (
    <figure class="bars" aria-label={title}>
      <ul>
        {bars.map((bar) => (
          <li key={bar.name}>
            <span aria-hidden="true">{bar.name}</span>
            <Drawn id={`${id}${bar.name}`} bar={bar} most={most} />
            <b aria-hidden="true">{bar.figure}</b>
          </li>
        ))}
      </ul>
      {legend.length > 0 && (
        <figcaption>
          {legend.map(({ ink, words }) => (
            <span key={ink}>
              <svg class="swatch" aria-hidden="true">
                <Pattern id={`${id}${ink}`} ink={ink} />
                <rect
                  width="100%"
                  height="100%"
                  fill={`url(#${id}${ink})`}
                  stroke="currentColor"
                  stroke-width="4"
                />
              </svg>
              {words}
            </span>
          ))}
        </figcaption>
      )}
    </figure>
  )
}

function Drawn({ id, bar, most }: { id: string; bar: Bar; most: number }) {
  const key = id.replaceAll(/[^\w-]/gu, '-')
  const percent = (value: number) => `${Math.round((1000 * value) / most) / 10}%`
  let from = 0
  return (
    <svg role="img" aria-label={bar.told}>
      {bar.parts.map(({ ink, value }) => {
        const x = from
        from += value
        return (
          <g key={ink}>
            <Pattern id={`${key}-${ink}`} ink={ink} />
            <rect
              x={percent(x)}
              width={percent(value)}
              y="1"
              height="22"
              fill={`url(#${key}-${ink})`}
              stroke="currentColor"
              stroke-width="2"
            />
          </g>
        )
      })}
    </svg>
  )
}

/** Eight units square, in the ink of the page. */
function Pattern({ id, ink }: { id: string; ink: Ink }) {
  return (
    <pattern id={id} width="8" height="8" patternUnits="userSpaceOnUse">
      <rect width="8" height="8" class="paper" />
      {ink === 'solid' && <rect width="8" height="8" fill="currentColor" />}
      {(ink === 'hatched' || ink === 'crossed') && (
        <path d="M-2 10 10 -2M-2 2 2 -2M6 10 10 6" stroke="currentColor" stroke-width="2" />
      )}
      {ink === 'crossed' && (
        <path d="M-2 -2 10 10M6 -2 10 2M-2 6 2 10" stroke="currentColor" stroke-width="2" />
      )}
      {ink === 'dotted' && <circle cx="4" cy="4" r="1.7" fill="currentColor" />}
      {ink === 'ruled' && <path d="M0 2H8M0 6H8" stroke="currentColor" stroke-width="1.5" />}
    </pattern>
  )
}
