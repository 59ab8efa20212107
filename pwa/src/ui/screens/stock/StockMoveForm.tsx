import type { CatalogPart, StockMoveReason } from '../../../domain/contract'
import { oppositeOf } from '../../../domain/parts/stock'
import { stock as t } from '../../../domain/words/stock'
import { catalogPart } from '../../../store/catalog'
import { recordStockMove } from '../../../store/stock'
import { SelectField, TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'
import { figureOf, firstPlace, isAboveZero, missingPlace, partName, placeOptions } from './stockText'
import { ThereNow } from './ThereNow'

type Happened = keyof typeof t.happened

/** What happened, with its reason in the ledger and whether parts leave the place. */
const MOVES: Readonly<Record<Happened, { reason: StockMoveReason; leaves: boolean }>> = {
  arrived: { reason: 'arrived', leaves: false },
  fitted: { reason: 'fitted', leaves: true },
  back: { reason: 'fitted', leaves: false },
  sent_back: { reason: 'sent_back', leaves: true },
  written_off: { reason: 'written_off', leaves: true },
}
const HAPPENED = (Object.keys(t.happened) as Happened[]).map((value) => ({ value, label: t.happened[value] }))

interface Props {
  id: string
  placeId?: string
}

/** Parts put to a place, or taken from it. */
export function StockMoveForm({ id, placeId }: Props) {
  const part = catalogPart(id)
  return part ? <Moving part={part} placeId={placeId ?? firstPlace()} /> : <NotFound />
}

function Moving({ part, placeId }: { part: CatalogPart; placeId: string }) {
  const form = useForm<{ happened: Happened; quantity: string; place: string; note: string }>({
    name: `stock-move:${part.id}`,
    blank: { happened: 'arrived', quantity: '1', place: placeId, note: '' },
    check: ({ quantity, place }) => ({
      quantity: !isAboveZero(quantity) && t.badQuantity,
      place: missingPlace(place),
    }),
    save: ({ happened, quantity, place, note }) => {
      const { reason, leaves } = MOVES[happened]
      const amount = figureOf(quantity)
      return recordStockMove({
        catalog_part_id: part.id,
        place_id: place,
        reason,
        quantity: leaves ? oppositeOf(amount) : amount,
        note: note.trim(),
      })
    },
    saved: t.recorded,
    back: { at: 'catalog-part', id: part.id },
  })
  const { happened, quantity, place } = form.fields
  return (
    <FormPage form={form} overline={partName(part)} title={t.moveTitle} saveLabel={t.save}>
      <RadioGroup label={t.whatHappened} options={HAPPENED} {...form.field('happened')} />
      <TextField decimal label={t.quantity} {...form.field('quantity')} />
      <SelectField label={t.at} options={placeOptions()} {...form.field('place')} />
      <ThereNow part={part} place={place} taken={MOVES[happened].leaves ? quantity : ''} />
      <TextField label={t.note} {...form.field('note')} />
    </FormPage>
  )
}
