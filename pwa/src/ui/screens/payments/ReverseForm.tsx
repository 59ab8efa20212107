import type { Payment } from '../../../domain/contract'
import { receipt as t } from '../../../domain/words/payments'
import { payment, reversalOf, reversePayment } from '../../../store/payments'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { moneyRoute } from '../../features/payments/moneyFigures'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'

/** Reverses an entry that was a mistake. */
export function ReverseForm({ id }: { id: string }) {
  const row = payment(id)
  return row && !row.reverses_id && !reversalOf(id) ? <Form row={row} /> : <NotFound />
}

function Form({ row }: { row: Payment }) {
  const form = useForm<{ why: string }, string>({
    name: `reverse:${row.id}`,
    blank: { why: '' },
    check: ({ why }) => ({ why: !why.trim() && t.missingWhy }),
    save: ({ why }) => reversePayment(row.id, why.trim()),
    back: { at: 'payment', id: row.id },
    next: () => moneyRoute(row),
    saved: t.reverseSaved,
  })
  return (
    <FormPage
      form={form}
      overline={format.value.money(row.amount_minor + row.tip_minor)}
      title={t.reverseTitle}
      saveLabel={t.reverseSave}
      before={<p>{t.reverseExplain}</p>}
    >
      <TextField label={t.why} {...form.field('why')} />
    </FormPage>
  )
}
