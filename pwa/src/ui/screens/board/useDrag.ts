import { useRef } from 'preact/hooks'
import { dropAt } from '../../../domain/dispatch/board/moves'
import type { BoardMove, Refusal } from '../../../domain/dispatch/board/plan'
import type { Board } from './useBoard'

/** How far the pointer goes before a press is a drag. */
const SLOP_PX = 6

/**
 * Dragging a block by pointer, as an extra to the keys: along its lane to another time, onto another lane to another rig.
 * `secondsOf` is the time at a point of a lane.
 */
export function useDrag(board: Board, secondsOf: (lane: Element, x: number) => number) {
  const latest = useRef(board)
  latest.current = board
  return (event: PointerEvent, stop: string, starts: number) => {
    const lane = (event.currentTarget as Element).closest('[data-rig]')
    if (event.button !== 0 || !lane) return
    const grabbed = secondsOf(lane, event.clientX) - starts
    const from = { x: event.clientX, y: event.clientY }
    let tried: BoardMove | Refusal | null = null
    let dragging = false
    // On the window: the block itself goes to another lane on the way.
    const stopped = new AbortController()
    const end = () => {
      stopped.abort()
      if (dragging) latest.current.show(stop, null)
    }
    const move = ({ clientX, clientY }: PointerEvent) => {
      dragging ||= Math.hypot(clientX - from.x, clientY - from.y) > SLOP_PX
      const over = document.elementsFromPoint(clientX, clientY).find((each) => each.matches('[data-rig]'))
      const rig = over?.getAttribute('data-rig')
      if (!dragging || !over || rig == null) return
      const next = dropAt(latest.current.draft, stop, rig, secondsOf(over, clientX) - grabbed)
      if (JSON.stringify(next) === JSON.stringify(tried)) return
      tried = next
      latest.current.show(stop, next)
    }
    const drop = () => {
      end()
      if (tried !== null) latest.current.make(tried)
    }
    const { signal } = stopped
    addEventListener('pointermove', move, { signal })
    addEventListener('pointerup', drop, { signal })
    addEventListener('pointercancel', end, { signal })
    addEventListener('keydown', ({ key }) => key === 'Escape' && end(), { signal, capture: true })
  }
}
