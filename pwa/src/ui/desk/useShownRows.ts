import { useComputed, useSignal, useSignalEffect } from '@preact/signals'
import type { RefObject } from 'preact'
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks'
import { buildPath, currentRoute } from '../router'
import { renderedIndexes, windowOf } from './arrange'
import type { Column } from './table'
import type { TableState } from './tableState'

/** As in `desk.css`. */
export const ROW_REM = 2.25

const rowHeight = () => ROW_REM * Number.parseFloat(getComputedStyle(document.documentElement).fontSize)

export interface ShownRows {
  readonly rows: readonly unknown[]
  readonly columns: readonly Column<unknown>[]
  readonly at: number
  readonly indexes: readonly number[]
  readonly open: string | null
}

/** What to render: the rows, the columns, which rows are in sight, where the keys are, which row is open. */
export function useShownRows(state: TableState, scroller: RefObject<HTMLDivElement | null>) {
  const view = useWindow(state, scroller)
  const printing = usePrinting()
  // Another order or filter is read from its top.
  const seen = useRef(state.arrangement.peek())
  useSignalEffect(() => {
    const now = state.arrangement.value
    const { filter, view: name, sort } = seen.current
    seen.current = now
    if (now.filter !== filter || now.view !== name || now.sort !== sort) scroller.current?.scrollTo(0, 0)
  })
  return useComputed((): ShownRows => {
    const rows = state.shown.value
    const id = state.at.value
    const at = id === null ? 0 : Math.max(0, state.indexOf(id))
    const window = { first: view.value.first, end: Math.min(view.value.end, rows.length) }
    const shown = printing.value ? { first: 0, end: rows.length } : window
    return {
      rows,
      columns: state.columns.value,
      at,
      indexes: renderedIndexes(shown, rows.length ? at : -1),
      open: openRow(state),
    }
  })
}

/** The rows in sight; follows the scrolling and the size of the box, and keeps its place for the next time. */
function useWindow(state: TableState, scroller: RefObject<HTMLDivElement | null>) {
  const view = useSignal({ first: 0, end: 40 })
  useLayoutEffect(() => {
    const box = scroller.current
    if (!box) return undefined
    box.scrollTop = state.scrollTop
    const look = () => {
      state.scrollTop = box.scrollTop
      const next = windowOf(state.shown.peek().length, box.scrollTop, box.clientHeight, rowHeight())
      const { first, end } = view.peek()
      if (next.first !== first || next.end !== end) view.value = next
    }
    look()
    const sizes = new ResizeObserver(look)
    sizes.observe(box)
    box.addEventListener('scroll', look, { passive: true })
    const stop = state.shown.subscribe(look)
    return () => {
      sizes.disconnect()
      box.removeEventListener('scroll', look)
      stop()
    }
  }, [state])
  return view
}

/** Whether the page is being printed: then all rows are in it. */
function usePrinting() {
  const printing = useSignal(false)
  useEffect(() => {
    const follow = ({ type }: Event) => {
      printing.value = type === 'beforeprint'
    }
    addEventListener('beforeprint', follow)
    addEventListener('afterprint', follow)
    return () => {
      removeEventListener('beforeprint', follow)
      removeEventListener('afterprint', follow)
    }
  }, [])
  return printing
}

/** The id of the row whose item, or a form of it, is open at the right. */
function openRow(state: TableState): string | null {
  const route = currentRoute.value
  if (!('id' in route)) return null
  const row = state.shown.value[state.indexOf(route.id)]
  return row !== undefined && buildPath(route).startsWith(buildPath(state.table.to(row))) ? route.id : null
}
