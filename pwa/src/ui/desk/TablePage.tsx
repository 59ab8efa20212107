import { useContext, useEffect, useRef } from 'preact/hooks'
import { Toast } from '../components/Toast'
import { keepFocusIn } from '../keepFocus'
import { PaneContext } from '../pane'
import { format, today } from '../shopFormat'
import { currentToast } from '../toast'
import { usePageTitle } from '../usePageTitle'
import { TableBar } from './TableBar'
import { TableGrid } from './TableGrid'
import type { TableOf } from './table'
import { tableState } from './tableState'

interface Props {
  table: TableOf<unknown>
  /** The view that the address asks for. */
  view?: string | undefined
}

/** The list of a place at the desk: a table over the whole pane. */
export function TablePage({ table, view }: Props) {
  const state = tableState(table)
  const leads = useContext(PaneContext)?.leads ?? true
  useEffect(() => {
    if (view !== undefined && table.views.some(({ key }) => key === view)) state.arrange({ view })
  }, [view, state])
  const page = useRef<HTMLDivElement>(null)
  useEffect(() => (page.current ? keepFocusIn(page.current) : undefined), [])
  const { view: at, filter } = state.arrangement.value
  const viewName = table.views.find(({ key }) => key === at)?.label
  usePageTitle({ title: table.title })
  return (
    <div class="table-page" ref={page}>
      <h1 class="visually-hidden">{table.title}</h1>
      <p class="table-title">
        <b>{table.title}</b> {[viewName, filter, format.value.longDay(today())].filter(Boolean).join(' · ')}
      </p>
      <TableBar state={state} />
      <TableGrid state={state} />
      {leads && <Toast message={currentToast.value} />}
    </div>
  )
}
