import { useEffect, useRef } from 'preact/hooks'
import SignaturePad, { type PointGroup } from 'signature_pad'

/** What was drawn, in whole steps of a box 10000 by 10000: x, y, ms since the first point, pressure. */
export type Drawn = (readonly [number, number, number, number])[][]

interface Props {
  label: string
  hint: string
  /** Raised each time the glass is to be wiped. */
  wipes: number
  /** What was drawn before, to go on with. */
  kept: Drawn
  onDrawn: (strokes: Drawn, box: { width: number; height: number }) => void
}

const BOX = 10_000
const PEN = {
  minWidth: 1.2,
  maxWidth: 3.2,
  dotSize: 2,
  penColor: '#000',
  velocityFilterWeight: 0.7,
  compositeOperation: 'source-over',
} as const

/** Glass to sign on. It is always ink on white, as it will be on the paper. */
export function Ink({ label, hint, wipes, kept, onDrawn }: Props) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const pad = useRef<SignaturePad | null>(null)
  const tell = useRef(onDrawn)
  tell.current = onDrawn

  useEffect(() => {
    const glass = canvas.current
    if (!glass) return
    const made = new SignaturePad(glass, { ...PEN, backgroundColor: '#fff' })
    pad.current = made
    const resize = () => {
      const { width, height } = glass.getBoundingClientRect()
      const drawn = made.toData()
      glass.width = width * devicePixelRatio
      glass.height = height * devicePixelRatio
      glass.getContext('2d')?.scale(devicePixelRatio, devicePixelRatio)
      made.clear()
      made.fromData(drawn)
    }
    const drawn = () =>
      tell.current(strokesOf(made, glass), { width: glass.clientWidth, height: glass.clientHeight })
    resize()
    made.fromData(groupsOf(kept, glass))
    made.addEventListener('endStroke', drawn)
    addEventListener('resize', resize)
    return () => {
      removeEventListener('resize', resize)
      made.off()
    }
  }, [])

  useEffect(() => {
    if (wipes) pad.current?.clear()
  }, [wipes])

  return (
    <div class="glass">
      <canvas ref={canvas} role="img" aria-label={label} />
      <p aria-hidden="true">{hint}</p>
    </div>
  )
}

function groupsOf(strokes: Drawn, glass: HTMLCanvasElement): PointGroup[] {
  return strokes.map((stroke) => ({
    ...PEN,
    points: stroke.map(([x, y, time, pressure]) => ({
      x: (x / BOX) * glass.clientWidth,
      y: (y / BOX) * glass.clientHeight,
      time,
      pressure: pressure / BOX,
    })),
  }))
}

function strokesOf(pad: SignaturePad, glass: HTMLCanvasElement): Drawn {
  const groups = pad.toData()
  const start = groups[0]?.points[0]?.time ?? 0
  const step = (value: number, size: number) => Math.min(BOX, Math.max(0, Math.round((value / size) * BOX)))
  return groups.map((group) =>
    group.points.map(
      (point) =>
        [
          step(point.x, glass.clientWidth),
          step(point.y, glass.clientHeight),
          Math.max(0, Math.round(point.time - start)),
          Math.round(point.pressure * BOX),
        ] as const,
    ),
  )
}

/** Kept ink, drawn from its strokes. */
export function InkPicture({
  strokes,
  width,
  height,
  label,
}: {
  strokes: Drawn | readonly (readonly (readonly number[])[])[]
  width: number
  height: number
  label: string
}) {
  const x = (value: number | undefined) => (((value ?? 0) / BOX) * width).toFixed(1)
  const y = (value: number | undefined) => (((value ?? 0) / BOX) * height).toFixed(1)
  return (
    <svg class="ink-picture" viewBox={`0 0 ${width} ${height}`} role="img" aria-label={label}>
      {strokes.map((stroke, at) => (
        <polyline
          key={at}
          points={stroke.map((point) => `${x(point[0])},${y(point[1])}`).join(' ')}
          fill="none"
          stroke="currentColor"
          stroke-width="3"
          stroke-linecap="round"
          stroke-linejoin="round"
        />
      ))}
    </svg>
  )
}
