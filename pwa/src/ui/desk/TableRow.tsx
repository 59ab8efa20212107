import type { TargetedMouseEvent } from 'preact'
import { Component } from 'preact'
import { desk as t } from '../../domain/words/desk'
import { buildPath, navigate } from '../router'
import { cellClass, cellText } from './cells'
import type { Column } from './table'
import type { TableState } from './tableState'

interface Props {
  state: TableState
  row: unknown
  index: number
  columns: readonly Column<unknown>[]
  selected: boolean
  open: boolean
  tabStop: boolean
}

/** The id of a row's element, which is given the focus. */
export const rowElementId = (id: string) => `row-${id}`

/** One row. It is drawn again only when it changed: hundreds pass by in one scroll. */
export class TableRow extends Component<Props> {
  override shouldComponentUpdate(next: Props): boolean {
    return (Object.keys(next) as (keyof Props)[]).some((name) => next[name] !== this.props[name])
  }

  render({ state, row, index, columns, selected, open, tabStop }: Props) {
    const id = state.table.idOf(row)
    const [first] = columns
    const name = first ? cellText(first, row) : id
    const onClick = (event: TargetedMouseEvent<HTMLElement>) => {
      state.at.value = id
      const target = event.target as Element
      if (!target.closest('a, input, .pick')) navigate(state.table.to(row))
    }
    return (
      <tr
        id={rowElementId(id)}
        aria-rowindex={index + 2}
        aria-selected={selected}
        aria-current={open ? 'true' : undefined}
        tabIndex={tabStop ? 0 : -1}
        onClick={onClick}
        onFocus={() => {
          state.at.value = id
        }}
      >
        <td class="pick">
          <input
            type="checkbox"
            tabIndex={-1}
            aria-label={t.select(name)}
            checked={selected}
            onChange={() => state.toggle(id)}
          />
        </td>
        {columns.map((column, at) => (
          <Cell
            key={column.key}
            column={column}
            row={row}
            path={at ? null : buildPath(state.table.to(row))}
          />
        ))}
      </tr>
    )
  }
}

/** `path`: where the first cell leads, which can be opened in a tab of its own. */
function Cell({ column, row, path }: { column: Column<unknown>; row: unknown; path: string | null }) {
  const text = cellText(column, row)
  const note = column.note?.(row)
  const content = note || column.bold ? <b>{text}</b> : text
  return (
    <td class={cellClass(column)}>
      {path === null ? (
        content
      ) : (
        <a href={path} tabIndex={-1}>
          {content}
        </a>
      )}
      {note && <span> {note}</span>}
    </td>
  )
}
