import { orderParts as t } from '../../../domain/words/partOrders'
import { orderParts } from '../../../store/partOrders'
import { supplier, suppliers } from '../../../store/suppliers'
import { toOrder } from '../../../store/toOrder'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { SelectField, TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { FetchOnRun } from '../../features/orders/FetchOnRun'
import { countText, jobOfNeed, orderByText } from '../../features/orders/orderText'
import { useForm } from '../../useForm'

/** The choice of a supplier that the shop does not have yet. */
const NEW = 'new'

/** Puts what jobs and shelves want on the draft of an order: what is wanted from a supplier, else what has none. */
export function OrderParts({ supplierId = '' }: { supplierId?: string }) {
  const parts = toOrder.value.filter(({ supplier_id }) => (supplier_id ?? '') === supplierId)
  const known = suppliers()
  const form = useForm<{ supplier: string; name: string; chosen: string[] }, string>({
    name: `order-parts:${supplierId}`,
    blank: { supplier: supplierId || (known.length ? '' : NEW), name: '', chosen: parts.map(({ id }) => id) },
    draft: false,
    check: (fields) => ({
      supplier: !fields.supplier && t.missingSupplier,
      name: fields.supplier === NEW && !fields.name.trim() && t.missingName,
      chosen: !fields.chosen.length && t.missing,
    }),
    save: (fields) =>
      orderParts(
        fields.supplier === NEW ? { name: fields.name.trim() } : { id: fields.supplier },
        parts.filter(({ id }) => fields.chosen.includes(id)).map(({ part }) => part),
      ),
    back: { at: 'orders' },
    next: (id) => ({ at: 'part-order', id }),
    saved: null,
  })
  const { field, fields, errors, update } = form
  return (
    <FormPage form={form} overline={supplier(supplierId)?.name ?? ''} title={t.title} saveLabel={t.save}>
      {!supplierId && known.length > 0 && (
        <SelectField
          label={t.supplier}
          options={[['', ''], ...known.map(({ id, name }) => [id, name] as const), [NEW, t.newSupplier]]}
          {...field('supplier')}
        />
      )}
      {fields.supplier === NEW && <TextField label={t.newName} autocapitalize="words" {...field('name')} />}
      <CheckboxGroup
        label={t.which}
        values={fields.chosen}
        error={errors['chosen']}
        options={parts.map(({ id, part, need, orderBy }) => ({
          value: id,
          label: countText(part),
          hint: [orderByText({ orderBy }), part.number, need ? t.for(jobOfNeed(need)) : t.forShelf]
            .filter(Boolean)
            .join(', '),
        }))}
        onValuesChange={(chosen) => update({ chosen })}
      />
      {supplierId && <FetchOnRun supplierId={supplierId} />}
    </FormPage>
  )
}
