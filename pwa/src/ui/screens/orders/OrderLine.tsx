import type { PartOrder, PartOrderLine } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { lineForm as t } from '../../../domain/words/partOrders'
import {
  addOrderLine,
  editOrderLine,
  partOrder,
  partOrderLine,
  removeOrderLine,
} from '../../../store/partOrders'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { supplierName } from '../../features/orders/orderText'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { AnswerLine } from './AnswerLine'
import { BLANK_LINE, checkLine, lineOf, type OrderLineFields } from './lineFields'

/** A new line of a draft, typed by hand. */
export function NewOrderLine({ id }: { id: string }) {
  const order = partOrder(id)
  return order ? <Form order={order} seen={null} /> : <NotFound />
}

/** A line of an order: edited while the order is a draft, answered and ticked off after that. */
export function OrderLine({ id }: { id: string }) {
  const line = partOrderLine(id)
  const seen = useOriginal(`part-order-line:${id}`, line)
  const order = line && partOrder(line.order_id)
  if (!line || !seen || !order) return <NotFound />
  const mayEdit = order.state === 'draft' && permissions.value.has('order_parts')
  return mayEdit ? <Form order={order} seen={seen} /> : <AnswerLine order={order} line={line} />
}

const fieldsOf = (seen: PartOrderLine): OrderLineFields => ({
  number: seen.number,
  description: seen.description,
  quantity: format.value.number(seen.quantity),
  cost: format.value.typedMoney(seen.cost_minor),
  core: seen.core_minor ? format.value.typedMoney(seen.core_minor) : '',
})

function Form({ order, seen }: { order: PartOrder; seen: PartOrderLine | null }) {
  const seesCost = permissions.value.has('see_cost')
  const form = useForm<OrderLineFields>({
    name: `part-order-line:${seen?.id ?? order.id}`,
    blank: seen ? fieldsOf(seen) : BLANK_LINE,
    check: checkLine,
    save: (fields) =>
      seen ? editOrderLine(seen, lineOf(fields, seesCost)) : addOrderLine(order.id, lineOf(fields, seesCost)),
    back: { at: 'part-order', id: order.id },
  })
  const { field } = form
  return (
    <FormPage
      form={form}
      overline={`${shownName(order)}, ${supplierName(order)}`}
      title={seen ? t.title : t.newTitle}
      saveLabel={t.save}
      after={
        seen && (
          <ButtonRow stacked>
            <Button
              wide
              label={t.remove}
              onPress={() =>
                form.remove({
                  action: async () => {
                    await removeOrderLine(seen.id)
                    return undefined
                  },
                  text: t.removed,
                })
              }
            />
          </ButtonRow>
        )
      }
    >
      <TextField label={t.number} autocapitalize="characters" {...field('number')} />
      <TextField label={t.description} {...field('description')} />
      <TextField decimal label={t.quantity} {...field('quantity')} />
      {seesCost && <TextField decimal label={t.cost} {...field('cost')} />}
      <TextField decimal label={t.core} hint={t.coreHint} {...field('core')} />
    </FormPage>
  )
}
