import { useState } from 'preact/hooks'
import { areApart, moved, type Point } from '../../../domain/pictures/marks'

/** How far an arrow key moves the cross, as a share of the picture. */
const STEP = 0.02
const MOVES: Readonly<Record<string, Point>> = {
  ArrowLeft: [-STEP, 0],
  ArrowRight: [STEP, 0],
  ArrowUp: [0, -STEP],
  ArrowDown: [0, STEP],
}

type FieldEvent = PointerEvent & { currentTarget: HTMLElement }

/** Where a pointer is on the picture. */
function pointOf({ clientX, clientY, currentTarget }: FieldEvent): Point {
  const box = currentTarget.getBoundingClientRect()
  return moved([(clientX - box.x) / box.width, (clientY - box.y) / box.height], [0, 0])
}

/**
 * A mark that is being made on a picture of this size: where it starts, where it ends so far, the cross of the keyboard, and
 * what a pointer and the keys do. A second point makes the mark, once it is far enough from the first.
 */
export function useMarking(width: number, height: number, make: (from: Point, to: Point) => void) {
  const [start, setStart] = useState<Point | null>(null)
  const [end, setEnd] = useState<Point | null>(null)
  const [cross, setCross] = useState<Point | null>(null)

  function set(point: Point) {
    if (start && areApart(start, point, width, height)) {
      make(start, point)
      setStart(null)
    } else if (!start) setStart(point)
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
  const handlers = {
    onPointerDown: (event: FieldEvent) => {
      event.currentTarget.setPointerCapture(event.pointerId)
      setCross(null)
      if (start) setEnd(pointOf(event))
      else setStart(pointOf(event))
    },
    onPointerMove: (event: FieldEvent) => {
      if (start && event.currentTarget.hasPointerCapture(event.pointerId)) setEnd(pointOf(event))
    },
    onPointerUp: (event: FieldEvent) => set(pointOf(event)),
    onPointerCancel: () => setEnd(null),
    onKeyDown: press,
  }
  return { start, end, cross, handlers }
}
