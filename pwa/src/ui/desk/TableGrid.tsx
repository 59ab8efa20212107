import { useRef } from 'preact/hooks'
import { desk as t } from '../../domain/words/desk'
import { format } from '../shopFormat'
import { TableHead } from './TableHead'
import { TableRow } from './TableRow'
import type { Column } from './table'
import type { TableState } from './tableState'
import { useGridKeys } from './useGridKeys'
import { ROW_REM, type ShownRows, useShownRows } from './useShownRows'

/** How far text is cut before the table scrolls sideways; figures and days never are. */
const NARROWEST = 0.8
const PICK_REM = 1.9
/** What a table has beside an open item on a laptop of 1280 px, in rem; one that needs more leaves out what is `spare`. */
const BESIDE_ITEM_REM = 51

/** What a character of an amount takes, in rem. */
const CHARACTER_REM = 0.4

/** The least width of a column in rem; those of money are declared for "$0.00" and wider where a currency is longer. */
function narrowest({ kind = 'text', width }: Column<unknown>): number {
  if (kind === 'text') return NARROWEST * width
  if (kind !== 'money') return width
  return width + CHARACTER_REM * Math.max(0, format.value.money(0).length - '$0.00'.length)
}

/** What columns with their checkbox need at least, in rem. */
const widthOf = (columns: readonly Column<unknown>[]) =>
  columns.reduce((sum, column) => sum + narrowest(column), PICK_REM)

/**
 * The rows of a table as a grid (WAI-ARIA 1.2): one row is in the tab order, arrows move it, and since the row itself has
 * the focus, a screen reader says all of it. Only rows in sight are in the document, the others are gaps of their height.
 */
export function TableGrid({ state }: { state: TableState }) {
  const scroller = useRef<HTMLDivElement>(null)
  const shown = useShownRows(state, scroller)
  const { rows, columns } = shown.value
  const onKeyDown = useGridKeys(state, scroller)
  const { table } = state
  const widths = {
    '--table-width': `${widthOf(columns)}rem`,
    '--table-width-narrow': `${widthOf(columns.filter(({ spare }) => !spare))}rem`,
  }
  return (
    <div class="table-scroll" ref={scroller}>
      <table
        class={widthOf(columns) > BESIDE_ITEM_REM ? 'table large' : 'table'}
        // biome-ignore lint/a11y/noNoninteractiveElementToInteractiveRole: its rows are moved through, selected and opened
        role="grid"
        onKeyDown={onKeyDown}
        aria-label={table.title}
        aria-rowcount={rows.length + 1}
        aria-multiselectable="true"
        style={widths}
      >
        <colgroup>
          <col style={{ width: `${PICK_REM}rem` }} />
          {columns.map((column) => (
            <col
              key={column.key}
              class={column.spare && 'spare'}
              style={{ width: `${narrowest(column)}rem` }}
            />
          ))}
        </colgroup>
        <TableHead state={state} />
        <TableBody state={state} {...shown.value} />
      </table>
      {rows.length === 0 && <p class="empty-state">{t.nothingFound}</p>}
    </div>
  )
}

/** The rows in sight, and gaps as high as the others. */
function TableBody({ state, rows, columns, indexes, open, at: focused }: ShownRows & { state: TableState }) {
  const head = indexes[0] ?? 0
  const foot = rows.length - 1 - (indexes.at(-1) ?? rows.length - 1)
  return (
    <tbody>
      {gap('head', head)}
      {indexes.flatMap((index, at) => {
        const row = rows[index]
        if (row === undefined) return []
        const id = state.table.idOf(row)
        const before = at > 0 ? index - (indexes[at - 1] ?? index) - 1 : 0
        return [
          gap(`before-${id}`, before),
          <TableRow
            key={id}
            state={state}
            row={row}
            index={index}
            columns={columns}
            selected={state.selected.value.has(id)}
            open={id === open}
            tabStop={index === focused}
          />,
        ]
      })}
      {gap('foot', foot)}
    </tbody>
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
