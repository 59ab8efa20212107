import type { PartReturn } from '../../../domain/contract'
import type { Day } from '../../../domain/time'
import { refundForm as t } from '../../../domain/words/partOrders'
import { owedOfReturn, partReturn, refundReturn } from '../../../store/partReturns'
import { badAmount } from '../../badAmount'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { countText } from '../../features/orders/orderText'
import { NotFound } from '../../NotFound'
import { format, today } from '../../shopFormat'
import { useForm } from '../../useForm'

interface Fields {
  amount: string
  day: string
  rest: 'lost'[]
}

/** Records money that a supplier gave back for a return. */
export function RefundForm({ id }: { id: string }) {
  const row = partReturn(id)
  return row ? <Form row={row} /> : <NotFound />
}

function Form({ row }: { row: PartReturn }) {
  const form = useForm<Fields>({
    name: `part-refund:${row.id}`,
    blank: { amount: format.value.typedMoney(owedOfReturn(row) || null), day: today(), rest: [] },
    check: ({ amount, day, rest }) => ({
      amount: !isAmount(row, amount, rest.length > 0) && badAmount(),
      day: !day && t.missingDay,
    }),
    save: ({ amount, day, rest }) =>
      refundReturn(row.id, {
        amount_minor: format.value.readMoney(amount) ?? 0,
        refunded_on: day as Day,
        rest_lost: rest.length > 0,
      }),
    back: { at: 'part-return', id: row.id },
  })
  const { field, fields, update } = form
  return (
    <FormPage form={form} overline={countText(row)} title={t.title} saveLabel={t.save}>
      <TextField
        decimal
        label={t.amount}
        hint={row.refunded_minor ? t.amountHint : undefined}
        {...field('amount')}
      />
      <TextField type="date" label={t.day} {...field('day')} />
      <CheckboxGroup
        label=""
        values={fields.rest}
        options={[{ value: 'lost', label: t.rest }]}
        onValuesChange={(rest) => update({ rest })}
      />
    </FormPage>
  )
}

/** Whether an amount can be recorded: not nothing, unless no more will come, and never below zero in all. */
function isAmount({ refunded_minor }: PartReturn, typed: string, restLost: boolean): boolean {
  const minor = typed.trim() ? format.value.readMoney(typed) : 0
  return minor !== null && (minor !== 0 || restLost) && (refunded_minor ?? 0) + minor >= 0
}
