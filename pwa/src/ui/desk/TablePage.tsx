import { useContext, useEffect } from 'preact/hooks'
import { Toast } from '../components/Toast'
import { PaneContext } from '../pane'
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
  usePageTitle({ title: table.title })
  return (
    <div class="table-page">
      <h1 class="visually-hidden">{table.title}</h1>
      <TableBar state={state} />
      <TableGrid state={state} />
      {leads && <Toast message={currentToast.value} />}
    </div>
  )
}
