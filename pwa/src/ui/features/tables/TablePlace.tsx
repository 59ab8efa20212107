import { useContext } from 'preact/hooks'
import { tables } from '../../../domain/words/desk'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import type { TableOf } from '../../desk/table'
import { lazy } from '../../lazy'
import { PaneContext } from '../../pane'
import { canOpen } from '../../routeAccess'
import { ShopPage } from '../../ShopPage'
import { isWide } from '../../wide'

const TablePage = lazy(async () => (await import('../../desk/TablePage')).TablePage, { ahead: isWide })

interface Props<Row> {
  table: TableOf<Row>
  view?: string | undefined
}

/** A place that lists rows: a table at the desk; on the phone the rows of its first view, and its act. */
export function TablePlace<Row>({ table, view }: Props<Row>) {
  // The desk knows rows only by what their table says of them.
  if (useContext(PaneContext)) return <TablePage table={table as TableOf<unknown>} view={view} />
  return <PhoneList table={table} />
}

const MOST_ON_PHONE = 100

function PhoneList<Row>({ table }: { table: TableOf<Row> }) {
  const [first] = table.views
  const rows = table.rows().filter(first.has)
  return (
    <ShopPage title={table.title} subtitle={first.label}>
      <List items={rows.slice(0, MOST_ON_PHONE)} keyOf={table.idOf} empty={tables.none}>
        {(row) => <ListItem to={table.to(row)} {...table.onPhone(row)} />}
      </List>
      {table.act && canOpen(table.act.to.at) && (
        <ButtonRow stacked>
          <Button wide label={table.act.label} to={table.act.to} />
        </ButtonRow>
      )}
    </ShopPage>
  )
}
