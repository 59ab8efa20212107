import type { PartOrder } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import type { Day } from '../../../domain/time'
import { orderForm as t } from '../../../domain/words/partOrders'
import { editOrder, partOrder } from '../../../store/partOrders'
import { permissions } from '../../../store/session/session'
import { badAmount } from '../../badAmount'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'

/** Changes the promised day, the note or the supplier's bill of an order. */
export function OrderForm({ id }: { id: string }) {
  const row = partOrder(id)
  const seen = useOriginal(`part-order:${id}`, row)
  return row && seen ? <Form seen={seen} /> : <NotFound />
}

const dayOr = (typed: string) => (typed || null) as Day | null
const amountOf = (typed: string) => (typed.trim() ? format.value.readMoney(typed) : null)

function Form({ seen }: { seen: PartOrder }) {
  const seesCost = permissions.value.has('see_cost')
  const form = useForm({
    name: `part-order:${seen.id}`,
    blank: {
      promised: seen.promised_on ?? '',
      note: seen.note,
      number: seen.bill_number,
      amount: format.value.typedMoney(seen.bill_minor),
      due: seen.bill_due_on ?? '',
      paid: seen.bill_paid_on ?? '',
    },
    check: ({ amount }) => ({
      amount: !!amount.trim() && (amountOf(amount) ?? -1) < 0 && badAmount(),
    }),
    save: (fields) =>
      editOrder(seen, {
        promised_on: dayOr(fields.promised),
        note: fields.note.trim(),
        bill_number: fields.number.trim(),
        ...(seesCost && { bill_minor: amountOf(fields.amount) }),
        bill_due_on: dayOr(fields.due),
        bill_paid_on: dayOr(fields.paid),
      }),
    back: { at: 'part-order', id: seen.id },
  })
  const { field } = form
  return (
    <FormPage form={form} overline={shownName(seen)} title={t.title} saveLabel={t.save}>
      <TextField type="date" label={t.promised} {...field('promised')} />
      <TextField multiline label={t.note} {...field('note')} />
      <TextField label={t.billNumber} autocapitalize="characters" {...field('number')} />
      {seesCost && <TextField decimal label={t.billAmount} {...field('amount')} />}
      <TextField type="date" label={t.billDue} {...field('due')} />
      <TextField type="date" label={t.billPaid} {...field('paid')} />
    </FormPage>
  )
}
