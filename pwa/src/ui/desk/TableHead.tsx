import { desk as t } from '../../domain/words/desk'
import { cellClass } from './cells'
import type { TableState } from './tableState'

/** The head of each column, which sorts by it, and the checkbox that selects all rows shown. */
export function TableHead({ state }: { state: TableState }) {
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
              class={cellClass(column)}
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
