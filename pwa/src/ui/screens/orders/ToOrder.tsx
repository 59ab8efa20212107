import { orders as t } from '../../../domain/words/partOrders'
import { linesToCome } from '../../../store/partOrders'
import { PrimaryButton } from '../../components/Button'
import { List } from '../../components/List'
import { ShopPage } from '../../ShopPage'
import { ReturnsRow } from './Orders'
import { groupsToOrder, ToOrderList } from './ToOrderList'

/** What is to be ordered, what came and what goes back: at the desk beside the table of orders. */
export function ToOrder() {
  const groups = groupsToOrder()
  return (
    <ShopPage
      title={t.toOrderTitle}
      dock={linesToCome().length > 0 && <PrimaryButton label={t.arrived} to={{ at: 'part-arrivals' }} />}
    >
      {groups.length === 0 && (
        <List items={[]} keyOf={String} empty={t.noneToOrder} emptyHint={t.noneHint}>
          {() => null}
        </List>
      )}
      <ToOrderList groups={groups} />
      <ReturnsRow />
    </ShopPage>
  )
}
