import { useEffect, useRef, useState } from 'preact/hooks'
import type { Mark } from '../../../domain/pictures/marks'
import { drawing as t } from '../../../domain/words/drawing'
import { paintCross, paintMarks } from '../../features/pictures/paintMarks'
import { useMarking } from './useMarking'

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
  const [[width, height], setSize] = useState<readonly [number, number]>([0, 0])
  const { start, end, cross, handlers } = useMarking(width, height, (from, to) =>
    onMark({ kind: tool, from, to }),
  )

  useEffect(() => {
    const pen = canvas.current?.getContext('2d')
    if (!pen || !width) return
    pen.clearRect(0, 0, width, height)
    const begun = start && end ? [{ kind: tool, from: start, to: end }] : []
    paintMarks(pen, [...marks, ...begun], width, height)
    for (const point of [start, cross]) if (point) paintCross(pen, point, width, height)
  }, [marks, tool, start, end, cross, width, height])

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
          {...handlers}
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
