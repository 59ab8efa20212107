import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { desk as t } from '../../domain/words/desk'
import { shopSession } from '../../store/session/shopSession'
import { buildPath } from '../router'
import { today } from '../shopFormat'
import { showToast } from '../toast'
import { downloadCsv } from './csv'
import { type SavedView, savedViewsOf } from './savedViews'
import type { Arrangement } from './table'
import type { TableState } from './tableState'

/** Over a table: its views with counts, the saved ones, the filter, the columns, and the CSV. */
export function TableBar({ state }: { state: TableState }) {
  const { table } = state
  return (
    <div class="table-bar">
      <div class="table-views">
        <Views state={state} />
        {table.act && (
          <a class="button" href={buildPath(table.act.to)}>
            {table.act.label}
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

const savedOf = () => savedViewsOf(shopSession.value?.who.member_id ?? '')

const isAt = (now: Arrangement, { view, filter, sort, columns }: SavedView) =>
  now.view === view &&
  now.filter === filter &&
  now.sort.key === sort.key &&
  Boolean(now.sort.down) === Boolean(sort.down) &&
  now.columns.join() === columns.join()

function Views({ state }: { state: TableState }) {
  const now = state.arrangement.value
  const saved = savedOf().of(state.table.key)
  const at = saved.find((view) => isAt(now, view))
  return (
    <fieldset>
      <legend class="visually-hidden">{t.views}</legend>
      {state.table.views.map(({ key, label }) => (
        <button
          key={key}
          type="button"
          aria-pressed={!at && now.view === key}
          onClick={() => state.arrange({ view: key })}
        >
          {t.count(label, state.counts.value[key] ?? 0)}
        </button>
      ))}
      {saved.map((view) => (
        <button
          key={`saved-${view.name}`}
          type="button"
          aria-pressed={at === view}
          onClick={() => state.arrange(asArrangement(view))}
        >
          {view.name}
        </button>
      ))}
      {at && (
        <button
          type="button"
          class="quiet"
          onClick={() => {
            const views = savedOf()
            views.remove(state.table.key, at.name)
            showToast(t.viewDeleted(at.name), async () => views.save(state.table.key, at))
          }}
        >
          {t.deleteView(at.name)}
        </button>
      )}
    </fieldset>
  )
}

const asArrangement = ({ name: _, ...arrangement }: SavedView): Arrangement => arrangement

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
          }}
        >
          {t.selectNone}
        </button>
      )}
    </>
  )
}

/** Keeps the present arrangement under a name. */
function SaveView({ state }: { state: TableState }) {
  const name = useSignal<string | null>(null)
  const field = useRef<HTMLInputElement>(null)
  const naming = name.value !== null
  // The field takes the place of the button just pressed.
  useEffect(() => field.current?.focus(), [naming])
  if (name.value === null)
    return (
      <button
        type="button"
        class="plain push"
        onClick={() => {
          name.value = ''
        }}
      >
        {t.saveView}
      </button>
    )
  const close = () => {
    name.value = null
  }
  return (
    <form
      class="push"
      onKeyDown={(event) => event.key === 'Escape' && close()}
      onSubmit={(event) => {
        event.preventDefault()
        const given = name.value?.trim()
        if (!given) return
        savedOf().save(state.table.key, { ...state.arrangement.peek(), name: given })
        showToast(t.viewSaved(given))
        close()
      }}
    >
      <input
        ref={field}
        required
        maxLength={40}
        aria-label={t.viewName}
        placeholder={t.viewName}
        value={name.value}
        onInput={(event) => {
          name.value = event.currentTarget.value
        }}
      />
      <button type="submit" class="button">
        {t.save}
      </button>
    </form>
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
