import { orderBy, supplierWords as t } from '../../../domain/words/parts'
import { supplierList } from '../../../domain/words/supplierList'
import { permissions } from '../../../store/session/session'
import { allSuppliers } from '../../../store/suppliers'
import { PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { ShopPage } from '../../ShopPage'

/** Where the shop buys parts. */
export function Suppliers() {
  const may = permissions.value.has('order_parts')
  return (
    <ShopPage
      title={supplierList.title}
      dock={may && <PrimaryButton label={t.add} to={{ at: 'new-supplier' }} />}
    >
      <List items={allSuppliers()} keyOf={({ id }) => id} empty={t.none} emptyHint={t.noneHint}>
        {(row) => (
          <ListItem
            {...(may && { to: { at: 'supplier', id: row.id } as const })}
            title={row.name}
            details={[orderBy[row.order_by], row.phone, row.lead_days !== null && t.days(row.lead_days)]
              .filter(Boolean)
              .join(' · ')}
            value={row.archived && t.unused}
          />
        )}
      </List>
    </ShopPage>
  )
}
