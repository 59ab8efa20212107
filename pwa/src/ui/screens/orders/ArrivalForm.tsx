import type { ArrivalCondition, PartOrder, PartOrderLine } from '../../../domain/contract'
import { compare, exact } from '../../../domain/numbers/decimal'
import { shownName } from '../../../domain/provisionalMarks'
import { conditions, arrivalForm as t } from '../../../domain/words/partOrders'
import { partOrder, partOrderLine, recordArrival, stillToCome } from '../../../store/partOrders'
import { permissions } from '../../../store/session/session'
import { places } from '../../../store/stock'
import { badAmount } from '../../badAmount'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { SelectField, TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { countOf, supplierName, usualPlace } from '../../features/orders/orderText'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { type FormState, useForm } from '../../useForm'
import { readAmount, readCount } from './lineFields'

interface Fields {
  quantity: string
  condition: ArrivalCondition
  cost: string
  note: string
  place: string
  sendBack: 'back'[]
}

const CONDITIONS: readonly ArrivalCondition[] = ['good', 'wrong', 'damaged']

/** Records what came of one line; what is wrong or damaged goes on the list of returns in the same tap. */
export function ArrivalForm({ id, stopId }: { id: string; stopId?: string }) {
  const line = partOrderLine(id)
  const order = line && partOrder(line.order_id)
  return line && order ? <Form line={line} order={order} stopId={stopId} /> : <NotFound />
}

interface FormProps {
  line: PartOrderLine
  order: PartOrder
  /** The stop at the supplier from which the driver came. */
  stopId?: string | undefined
}

function Form({ line, order, stopId }: FormProps) {
  const seesCost = permissions.value.has('see_cost')
  const open = stillToCome(line)
  // What no job needs is for the shelf.
  const shelved = line.catalog_part_id !== null && line.need_id === null
  const form = useForm<Fields, string>({
    name: `part-arrival:${line.id}`,
    blank: {
      quantity: countOf(open),
      condition: 'good',
      cost: format.value.typedMoney(line.cost_minor),
      note: '',
      place: shelved ? (usualPlace()?.id ?? '') : '',
      sendBack: ['back'],
    },
    check: ({ quantity, cost }) => ({
      quantity: readCount(quantity) === null && t.badQuantity,
      cost: readAmount(cost) === undefined && badAmount(),
    }),
    save: (fields) => save(line, order, fields, seesCost),
    back: stopId ? { at: 'stop', id: stopId } : { at: 'part-arrivals', orderId: order.id },
    saved: t.saved,
  })
  const { fields, field } = form
  const count = readCount(fields.quantity)
  return (
    <FormPage
      form={form}
      overline={`${shownName(order)}, ${supplierName(order)}`}
      title={line.description || line.number}
      subtitle={[
        line.description && line.number,
        t.ordered(format.value.number(line.quantity), countOf(open)),
      ]
        .filter(Boolean)
        .join(', ')}
      saveLabel={t.save}
    >
      <TextField decimal label={t.quantity} {...field('quantity')} />
      {count && compare(exact(count), open) > 0 && <p class="notice">{t.more}</p>}
      <RadioGroup
        label={t.condition}
        options={CONDITIONS.map((value) => ({ value, label: conditions[value] }))}
        {...field('condition')}
      />
      <WhereTo form={form} shelved={shelved} />
      {seesCost && <TextField decimal label={t.cost} {...field('cost')} />}
      <TextField label={t.note} {...field('note')} />
    </FormPage>
  )
}

/** Where it goes: back to the supplier, or on the shelf. */
function WhereTo({ form, shelved }: { form: FormState<Fields, string>; shelved: boolean }) {
  const { fields, field, update } = form
  if (fields.condition !== 'good')
    return (
      <CheckboxGroup
        label=""
        values={fields.sendBack}
        options={[{ value: 'back', label: t.sendBack, hint: t.sendBackHint }]}
        onValuesChange={(sendBack) => update({ sendBack })}
      />
    )
  return shelved ? (
    <SelectField
      label={t.place}
      options={[['', t.noPlace], ...places().map(({ id, name }) => [id, name] as const)]}
      {...field('place')}
    />
  ) : null
}

function save(line: PartOrderLine, order: PartOrder, fields: Fields, seesCost: boolean): Promise<string> {
  const { condition, note } = fields
  const quantity = readCount(fields.quantity) ?? '1'
  const cost_minor = seesCost ? (readAmount(fields.cost) ?? null) : null
  const arrival = { order_line_id: line.id, quantity, condition, note: note.trim(), cost_minor }
  const { number, description, need_id, catalog_part_id } = line
  if (condition === 'good' || fields.sendBack.length === 0) {
    const { place: place_id } = fields
    const shelf =
      place_id && catalog_part_id && condition === 'good' ? { catalog_part_id, place_id } : undefined
    return recordArrival(arrival, { shelf })
  }
  const reason = condition
  const sentBack = {
    supplier_id: order.supplier_id,
    need_id,
    number,
    description,
    quantity,
    reason,
    note: note.trim(),
    expected_minor: cost_minor === null ? null : Math.round(cost_minor * Number(quantity)),
  }
  return recordArrival(arrival, { sentBack })
}
