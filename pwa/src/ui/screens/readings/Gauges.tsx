import { gaugeList } from '../../../domain/words/gaugeList'
import { quantities } from '../../../domain/words/quantities'
import { gaugeForm as t } from '../../../domain/words/readings'
import { allGauges } from '../../../store/gauges'
import { PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { ShopPage } from '../../ShopPage'
import { sureText } from './readingText'

/** What the shop measures with. */
export function Gauges() {
  return (
    <ShopPage title={gaugeList.title} dock={<PrimaryButton label={t.add} to={{ at: 'new-gauge' }} />}>
      <List items={allGauges()} keyOf={({ id }) => id} empty={t.none} emptyHint={t.noneHint}>
        {(row) => (
          <ListItem
            to={{ at: 'gauge', id: row.id }}
            title={row.name}
            details={[quantities[row.quantity], t.sure(sureText(row))].join(', ')}
            value={row.archived && t.unused}
          />
        )}
      </List>
    </ShopPage>
  )
}
