import type { CatalogPart } from '../../../domain/contract'
import { stock as t } from '../../../domain/words/stock'
import { catalogPart } from '../../../store/catalog'
import { countStock } from '../../../store/stock'
import { SelectField, TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'
import { figureOf, firstPlace, missingPlace, partName, placeOptions, typedFigure } from './stockText'
import { ThereNow } from './ThereNow'

interface Props {
  id: string
  placeId?: string
}

/** A count of one part at one place. */
export function StockCountForm({ id, placeId }: Props) {
  const part = catalogPart(id)
  return part ? <Counting part={part} placeId={placeId ?? firstPlace()} /> : <NotFound />
}

function Counting({ part, placeId }: { part: CatalogPart; placeId: string }) {
  const form = useForm<{ counted: string; place: string; note: string }>({
    name: `stock-count:${part.id}`,
    blank: { counted: '', place: placeId, note: '' },
    check: ({ counted, place }) => ({
      counted: !typedFigure(counted) && t.badCount,
      place: missingPlace(place),
    }),
    save: ({ counted, place, note }) =>
      countStock({
        catalog_part_id: part.id,
        place_id: place,
        counted: figureOf(counted),
        note: note.trim(),
      }),
    saved: t.recorded,
    back: { at: 'catalog-part', id: part.id },
  })
  return (
    <FormPage form={form} overline={partName(part)} title={t.countTitle} saveLabel={t.save}>
      <SelectField label={t.at} options={placeOptions()} {...form.field('place')} />
      <ThereNow part={part} place={form.fields.place} taken="" />
      <TextField decimal label={t.quantity} {...form.field('counted')} />
      <TextField label={t.note} {...form.field('note')} />
    </FormPage>
  )
}
