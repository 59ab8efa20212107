import type { CatalogPart, StockMove } from '../../../domain/contract'
import { stock, catalog as t } from '../../../domain/words/stock'
import { catalogPart } from '../../../store/catalog'
import { allOf, byId } from '../../../store/rows/selectors'
import {
  levelsOfPart,
  missingOf,
  movesOfPart,
  onHand,
  printStockSheet,
  stockSheets,
} from '../../../store/stock'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { PrintButtons } from '../../features/dispatch/PrintButtons'
import { JobRow } from '../../features/jobs/JobRow'
import { NotFound } from '../../NotFound'
import { memberName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { figure, partName, placeName } from './stockText'

/** A part of the shop's catalog: what it costs, where it is, what became of it. */
export function CatalogPartView({ id }: { id: string }) {
  const row = catalogPart(id)
  if (!row) return <NotFound />
  return (
    <ShopPage
      overline={row.archived ? `${t.part} · ${t.archived}` : t.part}
      title={partName(row)}
      subtitle={row.superseded_by && t.replaced(row.superseded_by)}
      dock={<PrimaryButton label={t.move} to={{ at: 'stock-move', id }} />}
    >
      <Facts row={row} />
      <Levels id={id} />
      <ButtonRow stacked>
        <Button wide label={stock.countOne} to={{ at: 'stock-count', id }} />
        <Button wide label={t.transfer} to={{ at: 'stock-transfer', id }} />
        <Button wide label={t.edit} to={{ at: 'catalog-part-edit', id }} />
      </ButtonRow>
      <PrintButtons
        path="stock-sheets"
        words={t.label}
        openWords={t.openLabel}
        printout={stockSheets('labels', null).findLast((sheet) => sheet.catalog_part_ids[0] === id)}
        onAsk={() => printStockSheet({ kind: 'labels', catalog_part_ids: [id] })}
      />
      <Section title={stock.ledger}>
        <List items={movesOfPart(id)} keyOf={(move) => move.id} empty={stock.noMoves} most={10}>
          {(move) => <MoveItem move={move} />}
        </List>
      </Section>
      <Section title={t.fittedOn}>
        <List items={jobsOf(id)} keyOf={(job) => job.id} empty={t.noJobs} most={10}>
          {(job) => <JobRow job={job} />}
        </List>
      </Section>
    </ShopPage>
  )
}

function Facts({ row }: { row: CatalogPart }) {
  const money = (minor: number | null) => (minor === null ? null : format.value.money(minor))
  return (
    <DescriptionList
      items={[
        [t.bin, row.bin],
        [t.onHand, figure(onHand(row.id))],
        [t.minimum, row.minimum === '0' ? null : figure(row.minimum)],
        [t.missing, missingOf(row) === '0' ? null : figure(missingOf(row))],
        [t.supplier, row.supplier_id && byId('supplier', row.supplier_id)?.name],
        [t.cost, money(row.cost_minor)],
        [t.price, money(row.price_minor)],
        [t.core, row.core_minor ? money(row.core_minor) : null],
        [t.note, row.note],
      ]}
    />
  )
}

function Levels({ id }: { id: string }) {
  const levels = [...levelsOfPart(id)].filter(([, level]) => level !== '0')
  return (
    <Section title={t.levels}>
      <List items={levels} keyOf={([placeId]) => placeId} empty={t.nowhere}>
        {([placeId, level]) => (
          <ListItem
            to={{ at: 'stock-place', id: placeId }}
            title={placeName(placeId)}
            value={level.startsWith('-') ? stock.negative : figure(level)}
          />
        )}
      </List>
    </Section>
  )
}

function MoveItem({ move }: { move: StockMove }) {
  const { quantity, counted_level, reason } = move
  const back = reason === 'fitted' && !quantity.startsWith('-')
  return (
    <ListItem
      title={
        counted_level === null
          ? back
            ? stock.cameBack
            : stock.reasons[reason]
          : stock.countedAs(figure(counted_level), signed(quantity))
      }
      value={counted_level === null && signed(quantity)}
      details={[
        placeName(move.place_id),
        format.value.moment(move.moved_at),
        move.member_id && memberName(move.member_id),
        move.note,
      ]
        .filter(Boolean)
        .join(', ')}
    />
  )
}

/** "+2", "−1.5". */
const signed = (quantity: string): string =>
  quantity === '0' ? '0' : quantity.startsWith('-') ? `−${figure(quantity.slice(1))}` : `+${figure(quantity)}`

const jobsOf = (catalog_part_id: string) =>
  [
    ...new Set(
      allOf('part_need').flatMap((need) => (need.catalog_part_id === catalog_part_id ? [need.job_id] : [])),
    ),
  ]
    .flatMap((jobId) => byId('job', jobId) ?? [])
    .reverse()
