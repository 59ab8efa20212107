import { useSignal } from '@preact/signals'
import { sheets as t } from '../../../domain/words/sheets'
import { findSheets } from '../../../store/sheets'
import { PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { List } from '../../components/List'
import { SheetRow } from '../../features/sheets/SheetRow'
import { ShopPage } from '../../ShopPage'

/** All sheets, with a search over their names and what is on them. */
export function Sheets() {
  const typed = useSignal('')
  const asked = typed.value.trim()
  return (
    <ShopPage title={t.title} dock={<PrimaryButton label={t.newSheet} to={{ at: 'new-sheet' }} />}>
      <search>
        <TextField
          type="search"
          label={t.search}
          hint={t.searchHint}
          value={typed.value}
          autocapitalize="off"
          enterKey="search"
          onValueChange={(value) => {
            typed.value = value
          }}
        />
      </search>
      <List
        items={findSheets(asked)}
        keyOf={({ id }) => id}
        empty={asked ? t.none(asked) : t.empty}
        emptyHint={asked ? '' : t.emptyHint}
      >
        {(sheet) => <SheetRow sheet={sheet} />}
      </List>
    </ShopPage>
  )
}
