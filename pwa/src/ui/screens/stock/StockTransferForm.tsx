import type { CatalogPart } from '../../../domain/contract'
import { stock as t } from '../../../domain/words/stock'
import { catalogPart } from '../../../store/catalog'
import { transferStock } from '../../../store/stock'
import { SelectField, TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'
import { figureOf, firstPlace, isAboveZero, missingPlace, partName, placeOptions } from './stockText'
import { ThereNow } from './ThereNow'

interface Props {
  id: string
  placeId?: string
}

/** Parts moved from one place to another. */
export function StockTransferForm({ id, placeId }: Props) {
  const part = catalogPart(id)
  return part ? <Transfer part={part} placeId={placeId ?? firstPlace()} /> : <NotFound />
}

function Transfer({ part, placeId }: { part: CatalogPart; placeId: string }) {
  const form = useForm<{ quantity: string; from: string; to: string; note: string }>({
    name: `stock-transfer:${part.id}`,
    blank: { quantity: '1', from: placeId, to: '', note: '' },
    check: ({ quantity, from, to }) => ({
      quantity: !isAboveZero(quantity) && t.badQuantity,
      from: missingPlace(from),
      to: missingPlace(to) || (from === to && t.samePlace),
    }),
    save: ({ quantity, from, to, note }) =>
      transferStock({
        catalog_part_id: part.id,
        from_place_id: from,
        to_place_id: to,
        quantity: figureOf(quantity),
        note: note.trim(),
      }),
    saved: t.recorded,
    back: { at: 'catalog-part', id: part.id },
  })
  return (
    <FormPage form={form} overline={partName(part)} title={t.transferTitle} saveLabel={t.transfer}>
      <TextField decimal label={t.quantity} {...form.field('quantity')} />
      <SelectField label={t.from} options={placeOptions()} {...form.field('from')} />
      <ThereNow part={part} place={form.fields.from} taken={form.fields.quantity} />
      <SelectField label={t.to} options={[['', ''], ...placeOptions()]} {...form.field('to')} />
      <TextField label={t.note} {...form.field('note')} />
    </FormPage>
  )
}
