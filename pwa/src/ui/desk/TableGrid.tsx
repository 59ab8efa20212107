import { useComputed, useSignal, useSignalEffect } from '@preact/signals'
import type { RefObject } from 'preact'
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks'
import { desk as t } from '../../domain/words/desk'
import { buildPath, currentRoute } from '../router'
import { renderedIndexes, windowOf } from './arrange'
import { isFigure } from './cells'
import { type Shown, TableRow } from './TableRow'
import type { TableState } from './tableState'
import { useGridKeys } from './useGridKeys'

/** As in `desk.css`. */
const ROW_REM = 2.25

/** How far columns shrink, and cut what they hold, before the table scrolls sideways. */
const NARROWEST = 0.8

const rowHeight = () => ROW_REM * Number.parseFloat(getComputedStyle(document.documentElement).fontSize)

/**
 * The rows of a table as a grid (WAI-ARIA 1.2): one row is in the tab order, arrows move it, and since the row itself has
 * the focus, a screen reader says all of it. Only rows in sight are in the document, the others are gaps of their height.
 */
export function TableGrid({ state }: { state: TableState }) {
  const scroller = useRef<HTMLDivElement>(null)
  const shown = useShownRows(state, scroller)
  const { rows, columns, indexes, open } = shown.value
  const keys = useGridKeys(state, scroller)
  const { table } = state
  const width = columns.reduce((sum, each) => sum + each.width, 2) * NARROWEST
  const head = indexes[0] ?? 0
  const foot = rows.length - 1 - (indexes.at(-1) ?? rows.length - 1)
  return (
    <div class="table-scroll" ref={scroller}>
      <table
        class="table"
        // biome-ignore lint/a11y/noNoninteractiveElementToInteractiveRole: its rows are moved through, selected and opened
        role="grid"
        onKeyDown={keys.onKeyDown}
        aria-label={table.title}
        aria-rowcount={rows.length + 1}
        aria-multiselectable="true"
        style={{ minWidth: `${width}rem` }}
      >
        <colgroup>
          <col style={{ width: '2rem' }} />
          {columns.map((column) => (
            <col key={column.key} style={{ width: `${column.width}rem` }} />
          ))}
        </colgroup>
        <TableHead state={state} />
        <tbody>
          {gap('head', head)}
          {indexes.map((index, at) => {
            const row = rows[index]
            const before = at > 0 ? index - (indexes[at - 1] ?? index) - 1 : 0
            if (row === undefined) return null
            const id = table.idOf(row)
            return (
              <>
                {gap(`before-${id}`, before)}
                <TableRow
                  key={id}
                  state={state}
                  row={row}
                  index={index}
                  columns={columns}
                  selected={state.selected.value.has(id)}
                  open={id === open}
                  tabStop={index === shown.value.at}
                />
              </>
            )
          })}
          {gap('foot', foot)}
        </tbody>
      </table>
      {rows.length === 0 && <p class="empty-state">{t.nothingFound}</p>}
    </div>
  )
}

/** A gap as high as the rows that are not in the document. */
const gap = (key: string, rows: number) =>
  rows > 0 && (
    // biome-ignore lint/a11y/noAriaHiddenOnFocusable: it holds nothing and is in no tab order
    <tr key={key} aria-hidden="true" class="gap">
      <td style={{ height: `${rows * ROW_REM}rem` }} />
    </tr>
  )

/** What to render: the rows, the columns, which rows are in sight, where the keys are, which row is open. */
function useShownRows(state: TableState, scroller: RefObject<HTMLDivElement | null>) {
  const view = useSignal({ first: 0, end: 40 })
  const printing = useSignal(false)
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
  useEffect(() => {
    const print = () => {
      printing.value = true
    }
    const after = () => {
      printing.value = false
    }
    addEventListener('beforeprint', print)
    addEventListener('afterprint', after)
    return () => {
      removeEventListener('beforeprint', print)
      removeEventListener('afterprint', after)
    }
  }, [])
  // Another order or filter is read from its top.
  const seen = useRef(state.arrangement.peek())
  useSignalEffect(() => {
    const now = state.arrangement.value
    const { filter, view: name, sort } = seen.current
    seen.current = now
    if (now.filter !== filter || now.view !== name || now.sort !== sort) scroller.current?.scrollTo(0, 0)
  })
  return useComputed((): Shown => {
    const rows = state.shown.value
    const ids = rows.map(state.table.idOf)
    const at = Math.max(0, ids.indexOf(state.at.value ?? ''))
    const all = { first: 0, end: rows.length }
    const seenRows = printing.value
      ? all
      : { first: view.value.first, end: Math.min(view.value.end, rows.length) }
    return {
      rows,
      columns: state.columns.value,
      at,
      indexes: renderedIndexes(seenRows, rows.length ? at : -1),
      open: openRow(state),
    }
  })
}

/** The id of the row whose item is open at the right. */
function openRow({ shown, table }: TableState): string | null {
  const route = currentRoute.value
  const id = 'id' in route ? route.id : null
  if (id === null) return null
  const row = shown.value.find((each) => table.idOf(each) === id)
  return row !== undefined && buildPath(table.to(row)) === buildPath(route) ? id : null
}

function TableHead({ state }: { state: TableState }) {
  const { sort } = state.arrangement.value
  const shown = state.shown.value
  const selected = state.selected.value
  const all = shown.length > 0 && shown.every((row) => selected.has(state.table.idOf(row)))
  return (
    <thead>
      <tr aria-rowindex={1}>
        <th class="pick">
          <input type="checkbox" aria-label={t.selectAll} checked={all} onChange={() => state.toggleAll()} />
        </th>
        {state.columns.value.map((column) => {
          const now = sort.key === column.key
          return (
            <th
              key={column.key}
              scope="col"
              class={isFigure(column) ? 'figure' : undefined}
              aria-sort={now ? (sort.down ? 'descending' : 'ascending') : undefined}
            >
              <button type="button" onClick={() => state.sortBy(column.key)}>
                {column.label}
              </button>
            </th>
          )
        })}
      </tr>
    </thead>
  )
}
