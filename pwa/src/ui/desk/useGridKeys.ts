import type { RefObject, TargetedKeyboardEvent } from 'preact'
import { useCallback } from 'preact/hooks'
import { navigate } from '../router'
import { focusOpenItem } from './focusItem'
import { rowElementId } from './TableRow'
import type { TableState } from './tableState'

/** What moves the row that has the keys: by how many rows, or to an end. */
const STEPS: Readonly<Record<string, number>> = {
  ArrowDown: 1,
  ArrowUp: -1,
  PageDown: 10,
  PageUp: -10,
  Home: -Number.MAX_SAFE_INTEGER,
  End: Number.MAX_SAFE_INTEGER,
}

/** Moving through the rows, opening and selecting them by keys. */
export function useGridKeys(state: TableState, scroller: RefObject<HTMLDivElement | null>) {
  const move = useCallback(
    (by: number) => {
      const rows = state.shown.peek()
      if (!rows.length) return
      const ids = rows.map(state.table.idOf)
      const now = ids.indexOf(state.at.peek() ?? '')
      const next = Math.min(ids.length - 1, Math.max(0, now + by))
      const id = ids[next] ?? null
      state.at.value = id
      const box = scroller.current
      if (box) bringIntoSight(box, next, rows.length)
      // The row may not be in the document yet.
      queueMicrotask(() => requestAnimationFrame(() => focusRow(id)))
    },
    [state],
  )
  const open = useCallback(() => {
    const row = state.shown.peek().find((each) => state.table.idOf(each) === state.at.peek())
    if (row === undefined) return
    navigate(state.table.to(row))
    focusOpenItem()
  }, [state])
  const select = useCallback(() => {
    const id = state.at.peek()
    if (id !== null) state.toggle(id)
  }, [state])
  const onKeyDown = (event: TargetedKeyboardEvent<HTMLElement>) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.shiftKey) return
    if (!(event.target as Element).matches('tr')) return
    const by = STEPS[event.key]
    if (by !== undefined) move(by)
    else if (event.key === 'Enter') open()
    else if (event.key === ' ') select()
    else return
    event.preventDefault()
  }
  return { onKeyDown, move, open, select }
}

export const focusRow = (id: string | null) =>
  id !== null && document.getElementById(rowElementId(id))?.focus({ preventScroll: true })

/** Scrolls as far as it takes to show a whole row between the head of the table and its foot. */
function bringIntoSight(box: HTMLElement, index: number, count: number): void {
  const head = box.querySelector('thead')?.offsetHeight ?? 0
  const height = (box.querySelector('table')?.offsetHeight ?? head) - head
  const each = height / count
  const top = index * each
  if (top < box.scrollTop) box.scrollTop = top
  else if (top + each + head > box.scrollTop + box.clientHeight)
    box.scrollTop = top + each + head - box.clientHeight
}
