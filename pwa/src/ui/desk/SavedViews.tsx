import { useSignal } from '@preact/signals'
import { useLayoutEffect, useRef } from 'preact/hooks'
import { desk as t } from '../../domain/words/desk'
import { shopSession } from '../../store/session/shopSession'
import { showToast } from '../toast'
import { type SavedView, savedViewsOf } from './savedViewStore'
import type { Arrangement } from './table'
import type { TableState } from './tableState'

const savedOf = () => savedViewsOf(shopSession.value?.who.member_id ?? '')

const isAt = (now: Arrangement, { view, filter, sort, columns }: SavedView) =>
  now.view === view &&
  now.filter === filter &&
  now.sort.key === sort.key &&
  Boolean(now.sort.down) === Boolean(sort.down) &&
  now.columns.join() === columns.join()

/** The views of a table with their counts, then the saved ones. */
export function Views({ state }: { state: TableState }) {
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

/** Keeps the present arrangement under a name. */
export function SaveView({ state }: { state: TableState }) {
  const name = useSignal<string | null>(null)
  const place = useRef<HTMLInputElement & HTMLButtonElement>(null)
  const naming = name.value !== null
  const before = useRef(naming)
  // The field takes the place of the button just pressed, and then the button that of the field: before the next key.
  useLayoutEffect(() => {
    if (before.current !== naming) place.current?.focus()
    before.current = naming
  }, [naming])
  if (name.value === null)
    return (
      <button
        ref={place}
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
        ref={place}
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
