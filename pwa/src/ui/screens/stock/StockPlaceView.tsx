import type { StockSheetKind } from '../../../domain/contract'
import { stock as t } from '../../../domain/words/stock'
import { catalogPart } from '../../../store/catalog'
import { byBin, levelsAt, printStockSheet, stockPlace, stockSheets } from '../../../store/stock'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { PrintButtons } from '../../features/dispatch/PrintButtons'
import { NotFound } from '../../NotFound'
import { memberName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { figure, partName } from './stockText'

/** What is on one shelf or in one truck. */
export function StockPlaceView({ id }: { id: string }) {
  const row = stockPlace(id)
  if (!row) return <NotFound />
  const parts = [...levelsAt(id)]
    .flatMap(([partId, level]) => {
      const part = level !== '0' && catalogPart(partId)
      return part ? [{ part, level }] : []
    })
    .sort((a, b) => byBin(a.part, b.part))
  return (
    <ShopPage
      overline={t.kinds[row.kind]}
      title={row.name}
      subtitle={row.holder_id ? memberName(row.holder_id) : ''}
      dock={<PrimaryButton label={t.count} to={{ at: 'stock-place-count', id }} />}
    >
      <List items={parts} keyOf={({ part }) => part.id} empty={t.nothingHere} emptyHint={t.nothingHereHint}>
        {({ part, level }) => (
          <ListItem
            to={{ at: 'catalog-part', id: part.id }}
            title={partName(part)}
            details={part.bin}
            value={level.startsWith('-') ? t.negative : figure(level)}
          />
        )}
      </List>
      <Section title={t.sheets}>
        <p class="hint">{t.sheetSignal}</p>
        <Sheet id={id} kind="count" words={t.makeCount} openWords={t.openCount} />
        <Sheet id={id} kind="labels" words={t.makeLabels} openWords={t.openLabels} />
      </Section>
      <ButtonRow stacked>
        <Button wide label={t.edit} to={{ at: 'stock-place-edit', id }} />
      </ButtonRow>
    </ShopPage>
  )
}

interface SheetProps {
  id: string
  kind: StockSheetKind
  words: string
  openWords: string
}

const Sheet = ({ id, kind, words, openWords }: SheetProps) => (
  <PrintButtons
    path="stock-sheets"
    words={words}
    openWords={openWords}
    printout={stockSheets(kind, id).at(-1)}
    onAsk={() => printStockSheet({ kind, place_id: id })}
  />
)
