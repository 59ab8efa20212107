import { useEffect, useRef, useState } from 'preact/hooks'
import { areApart, type Mark, moved, type Place } from '../../../domain/pictures/marks'
import { drawing as t } from '../../../domain/words/drawing'
import { paintCross, paintMarks } from '../../features/pictures/paintMarks'

/** How far an arrow key moves the cross, as a share of the picture. */
const STEP = 0.02
const MOVES: Readonly<Record<string, Place>> = {
  ArrowLeft: [-STEP, 0],
  ArrowRight: [STEP, 0],
  ArrowUp: [0, -STEP],
  ArrowDown: [0, STEP],
}

interface Props {
  url: string
  alt: string
  tool: Mark['kind']
  marks: readonly Mark[]
  onMark: (mark: Mark) => void
}

/** A picture with its marks. Two taps make one, or one drag, or the keyboard. */
export function MarkCanvas({ url, alt, tool, marks, onMark }: Props) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const image = useRef<HTMLImageElement>(null)
  const [size, setSize] = useState<readonly [number, number]>([0, 0])
  const [start, setStart] = useState<Place | null>(null)
  const [end, setEnd] = useState<Place | null>(null)
  const [cross, setCross] = useState<Place | null>(null)
  const [width, height] = size

  useEffect(() => {
    const pen = canvas.current?.getContext('2d')
    if (!pen || !width) return
    pen.clearRect(0, 0, width, height)
    const begun = start && end ? [{ kind: tool, from: start, to: end }] : []
    paintMarks(pen, [...marks, ...begun], width, height)
    for (const place of [start, cross]) if (place) paintCross(pen, place, width, height)
  }, [marks, tool, start, end, cross, width, height])

  function placeOf(event: PointerEvent): Place {
    const box = canvas.current?.getBoundingClientRect() ?? new DOMRect(0, 0, 1, 1)
    return moved([(event.clientX - box.x) / box.width, (event.clientY - box.y) / box.height], [0, 0])
  }
  function set(place: Place) {
    if (start && areApart(start, place, width, height)) {
      onMark({ kind: tool, from: start, to: place })
      setStart(null)
    } else if (!start) setStart(place)
    setEnd(null)
  }
  function press(event: KeyboardEvent) {
    const at = cross ?? start ?? [0.5, 0.5]
    const by = MOVES[event.key]
    if (by) {
      const next = moved(at, by)
      setCross(next)
      if (start) setEnd(next)
    } else if (event.key === 'Enter' || event.key === ' ') set(at)
    else return
    event.preventDefault()
    event.stopPropagation()
  }
  return (
    <>
      <p role="status">{t.next[tool][start ? 'second' : 'first']}</p>
      <div class="mark-canvas">
        <img
          ref={image}
          src={url}
          alt={alt}
          onLoad={() => setSize([image.current?.naturalWidth ?? 0, image.current?.naturalHeight ?? 0])}
        />
        <div
          // biome-ignore lint/a11y/noNoninteractiveTabindex: the keyboard sets the marks here
          tabIndex={0}
          role="application"
          aria-label={t.field}
          onPointerDown={(event) => {
            event.currentTarget.setPointerCapture(event.pointerId)
            setCross(null)
            if (start) setEnd(placeOf(event))
            else setStart(placeOf(event))
          }}
          onPointerMove={(event) => {
            if (start && event.currentTarget.hasPointerCapture(event.pointerId)) setEnd(placeOf(event))
          }}
          onPointerUp={(event) => set(placeOf(event))}
          onPointerCancel={() => setEnd(null)}
          onKeyDown={press}
        >
          <canvas ref={canvas} width={width} height={height} />
        </div>
      </div>
      <p>
        <small>{t.keys}</small>
      </p>
    </>
  )
}
