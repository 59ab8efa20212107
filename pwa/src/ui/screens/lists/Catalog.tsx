import { useSignal } from '@preact/signals'
import { useContext } from 'preact/hooks'
import type { CatalogPart } from '../../../domain/contract'
import { catalog as t } from '../../../domain/words/stock'
import { allParts } from '../../../store/catalog'
import { allOf, byId, follow } from '../../../store/rows/selectors'
import { missingOf, onHand } from '../../../store/stock'
import { PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import type { TableOf } from '../../desk/table'
import { perRow } from '../../features/tables/perRow'
import { TablePlace } from '../../features/tables/TablePlace'
import { PaneContext } from '../../pane'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'

interface CatalogLine {
  readonly part: CatalogPart
}

function catalogLines(): CatalogLine[] {
  follow('stock_move', 'supplier')
  return allOf('catalog_part').map((part) => ({ part }))
}

const stocked = perRow(({ part }: CatalogLine) => Number(onHand(part.id)))
const missing = perRow(({ part }: CatalogLine) => Number(missingOf(part)))
const name = ({ number, description }: CatalogPart) => [number, description].filter(Boolean).join(' ')

const CATALOG: TableOf<CatalogLine> = {
  key: 'catalog',
  title: t.title,
  rows: catalogLines,
  idOf: ({ part }) => part.id,
  to: ({ part }) => ({ at: 'catalog-part', id: part.id }),
  columns: [
    { key: 'number', label: t.number, value: ({ part }) => part.number, width: 9, bold: true },
    { key: 'description', label: t.description, value: ({ part }) => part.description, width: 14 },
    {
      key: 'supplier',
      label: t.supplier,
      value: ({ part }) => (part.supplier_id && byId('supplier', part.supplier_id)?.name) || '',
      width: 9,
      spare: true,
    },
    { key: 'bin', label: t.bin, value: ({ part }) => part.bin, width: 6, spare: true },
    { key: 'stock', label: t.onHand, kind: 'number', value: (line) => stocked(line) || null, width: 5.5 },
    {
      key: 'minimum',
      label: t.minimum,
      kind: 'number',
      value: ({ part }) => Number(part.minimum) || null,
      width: 6,
      hidden: true,
    },
    { key: 'missing', label: t.missing, kind: 'number', value: (line) => missing(line) || null, width: 5.5 },
    {
      key: 'cost',
      label: t.cost,
      kind: 'money',
      value: ({ part }) => part.cost_minor,
      width: 7,
      hidden: true,
    },
    {
      key: 'price',
      label: t.price,
      kind: 'money',
      value: ({ part }) => part.price_minor,
      width: 7,
      spare: true,
    },
  ],
  views: [
    { key: 'all', label: t.all, has: ({ part }) => !part.archived },
    { key: 'stock', label: t.inStock, has: (line) => stocked(line) > 0 },
    { key: 'below', label: t.below, has: (line) => !line.part.archived && missing(line) > 0 },
    { key: 'archived', label: t.archived, has: ({ part }) => part.archived },
  ],
  sort: { key: 'number' },
  onPhone: ({ part }) => ({ title: name(part) }),
  act: { label: t.add, to: { at: 'new-catalog-part' } },
}

/** The shop's own catalog: a table at the desk; on the phone a search. */
export function Catalog() {
  return useContext(PaneContext) ? <TablePlace table={CATALOG} /> : <CatalogSearch />
}

function CatalogSearch() {
  const query = useSignal('')
  const words = query.value.trim()
  return (
    <ShopPage title={t.title} dock={<PrimaryButton label={t.add} to={{ at: 'new-catalog-part' }} />}>
      <search>
        <TextField
          type="search"
          label={t.search}
          value={query.value}
          autocapitalize="off"
          enterKey="search"
          onValueChange={(typed) => {
            query.value = typed
          }}
        />
      </search>
      <List
        items={allParts(words)}
        keyOf={({ id }) => id}
        empty={words ? t.notFound : t.none}
        {...(!words && { emptyHint: t.noneHint })}
      >
        {(part) => (
          <ListItem
            to={{ at: 'catalog-part', id: part.id }}
            title={name(part)}
            value={onHand(part.id) !== '0' && format.value.number(onHand(part.id))}
            details={part.bin}
          />
        )}
      </List>
    </ShopPage>
  )
}
