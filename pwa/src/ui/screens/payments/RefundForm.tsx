import { payForm, paymentMethods, refundForm as t } from '../../../domain/words/payments'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { type Account, accountOfInvoice, accountOfJob, moneyOf, recordRefund } from '../../../store/payments'
import { byId } from '../../../store/rows/selectors'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { moneyRoute } from '../../features/payments/moneyFigures'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'
import { EntryInputs } from './EntryInputs'
import { amountOf, blankEntry, type EntryFields, entryArgs, entryErrors, METHODS } from './payFields'

/** Gives money of a job back to its customer, or keeps it for them as credit. */
export function RefundJob({ id }: { id: string }) {
  const row = job(id)
  return row ? <Form account={accountOfJob(row)} /> : <NotFound />
}

/** The same for who was billed by an invoice. */
export function RefundInvoice({ id }: { id: string }) {
  const row = byId('invoice', id)
  return row ? <Form account={accountOfInvoice(row)} /> : <NotFound />
}

function Form({ account }: { account: Account }) {
  const { job_id, invoice_id, customer_id } = account
  const { paid, too_much } = moneyOf(account)
  const shown = format.value.money
  const form = useForm<EntryFields, string>({
    name: `refund:${invoice_id ?? job_id}`,
    blank: blankEntry(too_much),
    check: (fields) => {
      const errors = entryErrors(fields)
      const above = (amountOf(fields) ?? 0) > paid && t.abovePaid(shown(Math.max(0, paid)))
      return { ...errors, amount: errors['amount'] || above }
    },
    save: (fields) => {
      const minor = amountOf(fields)
      return minor === null ? null : recordRefund({ job_id, invoice_id, ...entryArgs(fields, minor) })
    },
    back: moneyRoute(account),
    next: (id) => ({ at: 'payment', id }),
    saved: t.saved,
  })
  const { fields, field, errors, update } = form
  const minor = amountOf(fields)
  return (
    <FormPage
      form={form}
      overline={customer(customer_id)?.name ?? ''}
      title={t.title}
      saveLabel={minor === null ? t.saveBlank : t.save(shown(minor))}
    >
      <TextField decimal label={payForm.amount} hint={t.hint(shown(paid))} {...field('amount')} />
      <RadioGroup
        label={t.method}
        options={METHODS.map((value) => ({
          value,
          label: paymentMethods[value],
          ...(value === 'credit' && { hint: t.creditHint }),
        }))}
        {...field('method')}
      />
      <EntryInputs fields={fields} errors={errors} update={update} />
    </FormPage>
  )
}
