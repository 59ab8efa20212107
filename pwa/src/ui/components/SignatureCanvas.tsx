import { useEffect, useRef } from 'preact/hooks'
import SignaturePad, { type PointGroup } from 'signature_pad'
import { INK_BOX } from '../../domain/contract'

/** Strokes of points [x, y, ms since the first point, pressure], as integers in a box of 10000 by 10000. */
export type Strokes = (readonly [number, number, number, number])[][]

interface Props {
  label: string
  hint: string
  /** Increased each time the canvas is to be cleared. */
  clearCount: number
  /** Strokes drawn earlier, to continue with. */
  initial: Strokes
  onChange: (strokes: Strokes, box: { width: number; height: number }) => void
}

const PEN = {
  minWidth: 1.2,
  maxWidth: 3.2,
  dotSize: 2,
  penColor: '#000',
  velocityFilterWeight: 0.7,
  compositeOperation: 'source-over',
} as const

/** A canvas to sign on. Always black on white in either color scheme, as it is printed. */
export function SignatureCanvas({ label, hint, clearCount, initial, onChange }: Props) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const pad = useRef<SignaturePad | null>(null)
  const callback = useRef(onChange)
  callback.current = onChange

  useEffect(() => {
    const element = canvas.current
    if (!element) return
    const signaturePad = new SignaturePad(element, { ...PEN, backgroundColor: '#fff' })
    pad.current = signaturePad
    const resize = () => {
      const { width, height } = element.getBoundingClientRect()
      const drawn = signaturePad.toData()
      element.width = width * devicePixelRatio
      element.height = height * devicePixelRatio
      element.getContext('2d')?.scale(devicePixelRatio, devicePixelRatio)
      signaturePad.clear()
      signaturePad.fromData(drawn)
    }
    const drawn = () =>
      callback.current(strokesOf(signaturePad, element), {
        width: element.clientWidth,
        height: element.clientHeight,
      })
    resize()
    signaturePad.fromData(groupsOf(initial, element))
    signaturePad.addEventListener('endStroke', drawn)
    addEventListener('resize', resize)
    return () => {
      removeEventListener('resize', resize)
      signaturePad.off()
    }
  }, [])

  useEffect(() => {
    if (clearCount) pad.current?.clear()
  }, [clearCount])

  return (
    <div class="signature-canvas">
      <canvas ref={canvas} role="img" aria-label={label} />
      <p aria-hidden="true">{hint}</p>
    </div>
  )
}

function groupsOf(strokes: Strokes, element: HTMLCanvasElement): PointGroup[] {
  return strokes.map((stroke) => ({
    ...PEN,
    points: stroke.map(([x, y, time, pressure]) => ({
      x: (x / INK_BOX) * element.clientWidth,
      y: (y / INK_BOX) * element.clientHeight,
      time,
      pressure: pressure / INK_BOX,
    })),
  }))
}

function strokesOf(pad: SignaturePad, element: HTMLCanvasElement): Strokes {
  const groups = pad.toData()
  const start = groups[0]?.points[0]?.time ?? 0
  const step = (value: number, size: number) =>
    Math.min(INK_BOX, Math.max(0, Math.round((value / size) * INK_BOX)))
  return groups.map((group) =>
    group.points.map(
      (point) =>
        [
          step(point.x, element.clientWidth),
          step(point.y, element.clientHeight),
          Math.max(0, Math.round(point.time - start)),
          Math.round(point.pressure * INK_BOX),
        ] as const,
    ),
  )
}

/** A stored signature, drawn from its strokes. */
export function SignatureImage({
  strokes,
  width,
  height,
  label,
}: {
  strokes: Strokes | readonly (readonly (readonly number[])[])[]
  width: number
  height: number
  label: string
}) {
  const x = (value: number | undefined) => (((value ?? 0) / INK_BOX) * width).toFixed(1)
  const y = (value: number | undefined) => (((value ?? 0) / INK_BOX) * height).toFixed(1)
  return (
    <svg class="signature-image" viewBox={`0 0 ${width} ${height}`} role="img" aria-label={label}>
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
