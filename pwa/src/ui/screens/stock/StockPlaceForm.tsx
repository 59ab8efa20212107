import type { StockPlace, StockPlaceKind } from '../../../domain/contract'
import { stock as t } from '../../../domain/words/stock'
import { members } from '../../../store/shop'
import { addPlace, editPlace, stockPlace } from '../../../store/stock'
import { SelectField, TextField } from '../../components/Field'
import { BooleanRadioGroup, RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'

interface Fields {
  name: string
  kind: StockPlaceKind
  holder: string
  archived: boolean
}

const KINDS = (Object.keys(t.kinds) as StockPlaceKind[]).map((value) => ({ value, label: t.kinds[value] }))

export const NewStockPlace = () => <Form seen={null} />

export function ChangeStockPlace({ id }: { id: string }) {
  const row = stockPlace(id)
  const seen = useOriginal(`stock-place:${id}`, row)
  return row && seen ? <Form seen={seen} /> : <NotFound />
}

/** A shelf, or a truck with who drives it. */
function Form({ seen }: { seen: StockPlace | null }) {
  const form = useForm<Fields>({
    name: `stock-place:${seen?.id ?? 'new'}`,
    blank: {
      name: seen?.name ?? '',
      kind: seen?.kind ?? 'shelf',
      holder: seen?.holder_id ?? '',
      archived: seen?.archived ?? false,
    },
    check: ({ name }) => ({ name: !name.trim() && t.missingName }),
    save: ({ name, kind, holder, archived }) => {
      const row = { name: name.trim(), kind, holder_id: kind === 'truck' && holder ? holder : null, archived }
      return seen ? editPlace(seen, row) : addPlace(row)
    },
    back: seen ? { at: 'stock-place', id: seen.id } : { at: 'stock' },
  })
  const people = members.value.map(({ id, name }) => [id, name] as const)
  return (
    <FormPage form={form} title={seen ? t.place : t.newPlace} saveLabel={t.save}>
      <TextField label={t.name} hint={t.nameHint} {...form.field('name')} />
      <RadioGroup horizontal label={t.kind} options={KINDS} {...form.field('kind')} />
      {form.fields.kind === 'truck' && (
        <SelectField label={t.holder} options={[['', t.nobody], ...people]} {...form.field('holder')} />
      )}
      {seen && (
        <BooleanRadioGroup
          horizontal
          label={t.inUse}
          options={[
            [false, t.used],
            [true, t.unused],
          ]}
          {...form.field('archived')}
        />
      )}
    </FormPage>
  )
}
