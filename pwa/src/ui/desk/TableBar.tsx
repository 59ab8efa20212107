import { desk as t } from '../../domain/words/desk'
import { KeyCaps } from '../components/KeyCaps'
import { downloadCsv } from '../features/tables/csv'
import { canOpen } from '../routeAccess'
import { buildPath } from '../router'
import { today } from '../shopFormat'
import { showToast } from '../toast'
import { focusFirstField } from './focusItem'
import { SaveView, Views } from './SavedViews'
import type { TableState } from './tableState'

/** Over a table: its views with counts, the saved ones, the filter, the columns, and the CSV. */
export function TableBar({ state }: { state: TableState }) {
  const { table } = state
  return (
    <div class="table-bar">
      <div class="table-views">
        <Views state={state} />
        {table.act && canOpen(table.act.to.at) && (
          <a class="button" href={buildPath(table.act.to)} onClick={focusFirstField}>
            {table.act.label} {table.act.keys && <KeyCaps keys={table.act.keys} />}
          </a>
        )}
      </div>
      <div class="table-tools">
        <input
          type="search"
          aria-label={t.filter}
          placeholder={t.filter}
          value={state.arrangement.value.filter}
          onInput={(event) => state.arrange({ filter: event.currentTarget.value })}
        />
        <Count state={state} />
        <SaveView state={state} />
        <Columns state={state} />
        <button
          type="button"
          class="plain"
          onClick={() => {
            downloadCsv(`${table.key}-${today()}.csv`, state.csv())
            showToast(t.csvSaved(state.rowsToSave().length))
          }}
        >
          {t.csv}
        </button>
      </div>
    </div>
  )
}

/** How many rows are shown, or selected; told to screen readers after every change. */
function Count({ state }: { state: TableState }) {
  const selected = state.selected.value.size
  return (
    <>
      <span role="status" class="count">
        {selected ? t.selected(selected) : t.shown(state.shown.value.length)}
      </span>
      {selected > 0 && (
        <button
          type="button"
          class="plain"
          onClick={() => {
            state.selected.value = new Set()
            // This button goes.
            document.querySelector<HTMLElement>('.table tr[tabindex="0"]')?.focus({ preventScroll: true })
          }}
        >
          {t.selectNone}
        </button>
      )}
    </>
  )
}

function Columns({ state }: { state: TableState }) {
  const shown = state.arrangement.value.columns
  return (
    <details
      class="table-columns"
      onKeyDown={(event) => {
        if (event.key !== 'Escape') return
        event.currentTarget.open = false
        event.currentTarget.querySelector('summary')?.focus()
      }}
    >
      <summary>{t.columns}</summary>
      <div>
        {state.table.columns.map(({ key, label }) => (
          <label key={key}>
            <input type="checkbox" checked={shown.includes(key)} onChange={() => state.toggleColumn(key)} />
            {label}
          </label>
        ))}
      </div>
    </details>
  )
}
