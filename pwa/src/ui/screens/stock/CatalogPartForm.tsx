import type { CatalogPart } from '../../../domain/contract'
import { catalog as t } from '../../../domain/words/stock'
import { addCatalogPart, catalogPart, editCatalogPart } from '../../../store/catalog'
import { allOf } from '../../../store/rows/selectors'
import { permissions } from '../../../store/session/session'
import { badAmount } from '../../badAmount'
import { SelectField, TextField } from '../../components/Field'
import { BooleanRadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { figure, figureOf, typedFigure } from './stockText'

export const NewCatalogPart = () => <Form seen={null} />

export function ChangeCatalogPart({ id }: { id: string }) {
  const row = catalogPart(id)
  const seen = useOriginal(`catalog-part:${id}`, row)
  return row && seen ? <Form seen={seen} /> : <NotFound />
}

const asTyped = (minor: number | null | undefined) => format.value.typedMoney(minor ?? null)
const minorOf = (text: string) => (text.trim() ? format.value.readMoney(text) : null)
const isMoney = (text: string) => !text.trim() || (minorOf(text) ?? -1) >= 0

function fieldsOf(seen: CatalogPart | null) {
  return {
    number: seen?.number ?? '',
    description: seen?.description ?? '',
    supplier: seen?.supplier_id ?? '',
    bin: seen?.bin ?? '',
    minimum: seen && seen.minimum !== '0' ? figure(seen.minimum) : '',
    cost: asTyped(seen?.cost_minor),
    price: asTyped(seen?.price_minor),
    core: seen?.core_minor ? asTyped(seen.core_minor) : '',
    supersededBy: seen?.superseded_by ?? '',
    note: seen?.note ?? '',
    archived: seen?.archived ?? false,
  }
}
type Fields = ReturnType<typeof fieldsOf>

const check = ({ description, minimum, cost, price, core }: Fields) => ({
  description: !description.trim() && t.missingDescription,
  minimum: typedFigure(minimum) === null && t.badNumber,
  cost: !isMoney(cost) && badAmount(),
  price: !isMoney(price) && badAmount(),
  core: !isMoney(core) && badAmount(),
})

/** A part of the catalog. What the shop pays is left alone by who may not see it. */
function Form({ seen }: { seen: CatalogPart | null }) {
  const seesCost = permissions.value.has('see_cost')
  const form = useForm<Fields, unknown>({
    name: `catalog-part:${seen?.id ?? 'new'}`,
    blank: fieldsOf(seen),
    check,
    save: (fields) => {
      const row = {
        number: fields.number.trim(),
        description: fields.description.trim(),
        supplier_id: fields.supplier || null,
        bin: fields.bin.trim(),
        minimum: figureOf(fields.minimum),
        ...(seesCost && { cost_minor: minorOf(fields.cost) }),
        price_minor: minorOf(fields.price),
        core_minor: minorOf(fields.core) ?? 0,
        superseded_by: fields.supersededBy.trim(),
        note: fields.note.trim(),
        archived: fields.archived,
      }
      return seen ? editCatalogPart(seen, row) : addCatalogPart(row)
    },
    back: seen ? { at: 'catalog-part', id: seen.id } : { at: 'catalog' },
  })
  const { field } = form
  const suppliers = allOf('supplier').filter(({ id, archived }) => !archived || id === seen?.supplier_id)
  return (
    <FormPage form={form} title={seen ? t.editTitle : t.newTitle} saveLabel={t.save}>
      <TextField serial label={t.number} {...field('number')} />
      <TextField label={t.description} {...field('description')} />
      <SelectField
        label={t.supplier}
        options={[['', t.noSupplier], ...suppliers.map(({ id, name }) => [id, name] as const)]}
        {...field('supplier')}
      />
      <TextField label={t.bin} {...field('bin')} />
      <TextField decimal label={t.minimum} hint={t.minimumHint} {...field('minimum')} />
      {seesCost && <TextField decimal label={t.cost} {...field('cost')} />}
      <TextField decimal label={t.price} {...field('price')} />
      <TextField decimal label={t.core} {...field('core')} />
      <TextField serial label={t.supersededBy} {...field('supersededBy')} />
      <TextField multiline label={t.note} {...field('note')} />
      {seen && (
        <BooleanRadioGroup
          horizontal
          label={t.isOffered}
          options={[
            [false, t.offered],
            [true, t.notOffered],
          ]}
          {...field('archived')}
        />
      )}
    </FormPage>
  )
}
