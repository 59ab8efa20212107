import { useState } from 'preact/hooks'
import { priceLists as t } from '../../../domain/words/stock'
import { priceListsMenu } from '../../../domain/words/stockMenu'
import { addCatalogPart, partsLike } from '../../../store/catalog'
import { findPrices, type ListedPrice } from '../../../store/priceLists'
import { byId } from '../../../store/rows/selectors'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { List, OpeningItem } from '../../components/List'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { saveWithToast } from '../../toast'
import { useRequest } from './useRequest'

/** What suppliers list, looked up on the server; a part that is found can be kept in the catalog. */
export function PriceLists() {
  const [words, setWords] = useState('')
  const [found, setFound] = useState<readonly ListedPrice[] | null>(null)
  const { ask, busy, trouble } = useRequest<'find'>(t.failed)
  const find = () => {
    if (words.trim()) void ask('find', () => findPrices(words.trim()), setFound)
  }
  return (
    <ShopPage
      title={priceListsMenu.title}
      dock={<PrimaryButton label={t.find} form="find-price" busy={busy !== null} />}
    >
      <Form id="find-price" errors={{}} onSubmit={find}>
        <TextField
          type="search"
          label={t.searchLabel}
          hint={t.searchHint}
          value={words}
          autocapitalize="characters"
          enterKey="search"
          onValueChange={setWords}
        />
      </Form>
      {trouble && <p role="alert">{trouble}</p>}
      {found && (
        <List items={found} keyOf={({ id }) => id} empty={t.noneFound}>
          {(row) => <FoundPrice row={row} />}
        </List>
      )}
      {permissions.value.has('order_parts') && (
        <ButtonRow stacked>
          <Button wide label={t.importTitle} hint={t.importHint} to={{ at: 'import-price-list' }} />
        </ButtonRow>
      )}
    </ShopPage>
  )
}

function FoundPrice({ row }: { row: ListedPrice }) {
  const { number, description, superseded_by, cost_minor, price_minor, core_minor, supplier_id } = row
  const money = (minor: number) => format.value.money(minor)
  const known = partsLike({ number, superseded_by: '' })[0]
  const keep = () =>
    addCatalogPart({
      supplier_id,
      number,
      description: description.slice(0, 120) || number,
      superseded_by,
      ...(cost_minor !== null && { cost_minor }),
      price_minor,
      core_minor: core_minor ?? 0,
    })
  return (
    <OpeningItem
      title={[number, description].filter(Boolean).join(' ')}
      value={price_minor !== null && money(price_minor)}
      details={[
        byId('supplier', supplier_id)?.name,
        cost_minor !== null && t.cost(money(cost_minor)),
        core_minor && t.core(money(core_minor)),
        superseded_by && t.replacedBy(superseded_by),
      ]
        .filter(Boolean)
        .join(', ')}
    >
      <ButtonRow stacked>
        {known ? (
          <Button wide label={t.openKnown} to={{ at: 'catalog-part', id: known.id }} />
        ) : (
          <Button wide label={t.keep} onPress={() => void saveWithToast(keep, t.kept)} />
        )}
      </ButtonRow>
    </OpeningItem>
  )
}
