import { checks, checkLists as lists, checkListForm as t } from '../../../domain/words/checks'
import { checkLists } from '../../../store/checks'
import { PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { ShopPage } from '../../ShopPage'
import { ExampleLists } from './ExampleLists'

/** The check lists of the shop. */
export function CheckLists() {
  const found = checkLists()
  return (
    <ShopPage title={lists.title} dock={<PrimaryButton label={t.add} to={{ at: 'new-check-list' }} />}>
      <List items={found} keyOf={({ id }) => id} empty={checks.noLists} emptyHint={checks.noListsHint}>
        {(list) => (
          <ListItem
            to={{ at: 'check-list', id: list.id }}
            title={list.name}
            details={[list.purpose, list.machine_kind].filter(Boolean).join(' · ')}
            value={t.count(list.items.length)}
          />
        )}
      </List>
      <ExampleLists />
    </ShopPage>
  )
}
