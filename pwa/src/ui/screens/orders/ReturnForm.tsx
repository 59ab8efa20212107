import type { PartOrderLine, PartReturn, ReturnReason } from '../../../domain/contract'
import { quantityText } from '../../../domain/parts/stock'
import { returns, returnForm as t } from '../../../domain/words/partOrders'
import { partOrder, partOrderLine } from '../../../store/partOrders'
import { addReturn, coresToReturn, editReturn, partReturn, removeReturn } from '../../../store/partReturns'
import { permissions } from '../../../store/session/session'
import { badAmount } from '../../badAmount'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { countText } from '../../features/orders/orderText'
import { NotFound } from '../../NotFound'
import type { Route } from '../../router'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { readAmount, readCount } from './lineFields'

interface Fields {
  reason: ReturnReason
  quantity: string
  expected: string
  note: string
}

const REASONS = (Object.keys(returns.reasons) as ReturnReason[]).map((value) => ({
  value,
  label: returns.reasons[value],
}))

const check = ({ quantity, expected }: Fields) => ({
  quantity: readCount(quantity) === null && t.badQuantity,
  expected: readAmount(expected) === undefined && badAmount(),
})

const savedOf = ({ quantity, expected, note }: Fields) => ({
  quantity: readCount(quantity) ?? '1',
  note: note.trim(),
  ...(permissions.value.has('see_cost') && { expected_minor: readAmount(expected) ?? null }),
})

/** Puts some of a line on the list of returns. */
export function NewReturn({ lineId = '', reason = 'wrong' }: { lineId?: string; reason?: string }) {
  const line = partOrderLine(lineId)
  return line ? <NewForm line={line} reason={reason === 'core' ? 'core' : 'wrong'} /> : <NotFound />
}

function NewForm({ line, reason }: { line: PartOrderLine; reason: ReturnReason }) {
  const core = reason === 'core' ? coresToReturn.value.find((each) => each.line.id === line.id) : undefined
  const quantity = core ? quantityText(core.quantity) : '1'
  const each = reason === 'core' ? line.core_minor : line.cost_minor
  const form = useForm<Fields, string>({
    name: `part-return:${line.id}:${reason}`,
    blank: {
      reason,
      quantity: format.value.number(quantity),
      expected: format.value.typedMoney(each === null ? null : Math.round(each * Number(quantity))),
      note: '',
    },
    check,
    save: (fields) =>
      addReturn({
        supplier_id: partOrder(line.order_id)?.supplier_id ?? '',
        order_line_id: line.id,
        need_id: line.need_id,
        number: line.number,
        description: line.description,
        reason: fields.reason,
        ...savedOf(fields),
      }),
    back: { at: 'part-order-line', id: line.id },
    next: (id) => ({ at: 'part-return', id }),
  })
  return (
    <FormPage form={form} overline={countText(line)} title={t.newTitle} saveLabel={t.save}>
      <RadioGroup label={t.reason} options={REASONS} {...form.field('reason')} />
      <ReturnFields form={form} />
    </FormPage>
  )
}

/** Changes what is noted of a return. */
export function ChangeReturn({ id }: { id: string }) {
  const row = partReturn(id)
  const seen = useOriginal(`part-return:${id}`, row)
  return row && seen ? <ChangeForm seen={seen} /> : <NotFound />
}

function ChangeForm({ seen }: { seen: PartReturn }) {
  const back: Route = { at: 'part-return', id: seen.id }
  const form = useForm<Fields>({
    name: `part-return:${seen.id}`,
    blank: {
      reason: seen.reason,
      quantity: format.value.number(seen.quantity),
      expected: format.value.typedMoney(seen.expected_minor),
      note: seen.note,
    },
    check,
    save: (fields) => editReturn(seen, savedOf(fields)),
    back,
  })
  const action = async () => {
    await removeReturn(seen.id)
    return undefined
  }
  const remove = () => form.remove({ action, text: t.removed, to: { at: 'part-returns' } })
  return (
    <FormPage form={form} overline={countText(seen)} title={t.title} saveLabel={t.save}>
      <ReturnFields form={form} />
      {seen.state === 'to_send' && seen.refunded_minor === null && (
        <ButtonRow stacked>
          <Button wide label={t.remove} onPress={remove} />
        </ButtonRow>
      )}
    </FormPage>
  )
}

function ReturnFields({ form }: { form: Pick<ReturnType<typeof useForm<Fields>>, 'field'> }) {
  return (
    <>
      <TextField decimal label={t.quantity} {...form.field('quantity')} />
      {permissions.value.has('see_cost') && (
        <TextField decimal label={t.expected} {...form.field('expected')} />
      )}
      <TextField multiline label={t.note} {...form.field('note')} />
    </>
  )
}
