import { paymentKinds, paymentMethods, payForm as t } from '../../../domain/words/payments'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import {
  type Account,
  accountOfInvoice,
  accountOfJob,
  creditOfCustomer,
  moneyOf,
  openOf,
  recordPayment,
} from '../../../store/payments'
import { byId } from '../../../store/rows/selectors'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { depositDue, moneyRoute } from '../../features/payments/moneyFigures'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'
import { EntryInputs } from './EntryInputs'
import { amountOf, blankEntry, entryArgs, entryErrors, METHODS, type PayFields, tipOf } from './payFields'

interface Props {
  account: Account
  kind?: string | undefined
  /** What is offered, in minor units. */
  usual: number
}

/** Takes money for a job: a payment of its bill, a deposit, a tip. `amount` is in minor units. Works without signal. */
export function PayJob({ id, kind, amount }: { id: string; kind?: string; amount?: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const account = accountOfJob(row)
  return (
    <Form account={account} kind={kind} usual={Number(amount) || moneyOf(account).open || depositDue(row)} />
  )
}

/** Takes money for an invoice: of somebody else than the job's customer, or without a job. */
export function PayInvoice({ id }: { id: string }) {
  const row = byId('invoice', id)
  if (!row) return <NotFound />
  const account = accountOfInvoice(row)
  return <Form account={account} usual={openOf(row)} />
}

const KINDS = ['payment', 'deposit', 'tip'] as const

function Form({ account, kind: asked, usual }: Props) {
  const { job_id, invoice_id, customer_id } = account
  const money = moneyOf(account)
  const shown = format.value.money
  const credit = creditOfCustomer(customer_id)
  const kind = KINDS.find((each) => each === asked) ?? (money.has_bill ? 'payment' : 'deposit')
  const form = useForm<PayFields, string>({
    name: `pay:${invoice_id ?? job_id}`,
    blank: { ...blankEntry(kind === 'tip' ? 0 : usual), kind, tip: '' },
    check: (fields) => {
      const given = (amountOf(fields) ?? 0) + (tipOf(fields) ?? 0)
      return {
        ...entryErrors(fields),
        tip: tipOf(fields) === null && t.badTip,
        method: fields.method === 'credit' && given > credit && t.creditTooSmall(shown(credit)),
      }
    },
    save: (fields) => {
      const [amount_minor, tip_minor] = [amountOf(fields), tipOf(fields)]
      if (amount_minor === null || tip_minor === null) return null
      const of = { job_id, invoice_id, kind: fields.kind, tip_minor }
      return recordPayment({ ...of, ...entryArgs(fields, amount_minor) })
    },
    back: job_id ? { at: 'job', id: job_id } : moneyRoute(account),
    next: (id) => ({ at: 'payment', id }),
    saved: t.saved,
  })
  const { fields, field, errors, update } = form
  const minor = amountOf(fields)
  const whole = (minor ?? 0) + (tipOf(fields) ?? 0)
  const left = fields.kind === 'tip' || !money.has_bill ? null : money.open - (minor ?? 0)
  return (
    <FormPage
      form={form}
      overline={customer(customer_id)?.name ?? ''}
      title={t.title}
      saveLabel={minor === null ? t.saveBlank : t.save(shown(whole))}
      saveHint={left === null || minor === null ? undefined : leftText(left)}
    >
      <TextField decimal label={t.amount} {...field('amount')} />
      <RadioGroup
        label={t.method}
        options={METHODS.filter((each) => each !== 'credit' || credit > 0).map((value) => ({
          value,
          label: paymentMethods[value],
          ...(value === 'card' && { hint: t.cardHint }),
          ...(value === 'credit' && { hint: t.creditHint(shown(credit)) }),
        }))}
        {...field('method')}
      />
      <RadioGroup
        label={t.kind}
        options={KINDS.map((value) => ({ value, label: paymentKinds[value], hint: t.kindHints[value] }))}
        {...field('kind')}
      />
      {fields.kind !== 'tip' && <TextField decimal label={t.tip} {...field('tip')} />}
      <EntryInputs fields={fields} errors={errors} update={update} />
    </FormPage>
  )
}

function leftText(left: number): string {
  const { money } = format.value
  return left < 0 ? t.beyond(money(-left)) : left > 0 ? t.leaves(money(left)) : t.even
}
