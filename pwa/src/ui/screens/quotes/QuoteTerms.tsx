import type { Quote } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { editQuote, quote } from '../../../store/quotes'
import { badAmount } from '../../badAmount'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { defaultValidUntil } from '../../features/quotes/quoteCalculation'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'

const t = en.quote.terms

export function QuoteTerms({ id }: { id: string }) {
  const row = quote(id)
  return row?.state === 'draft' ? <EditTerms row={row} /> : <NotFound />
}

interface TermsFormFields {
  off: 'none' | 'percent' | 'amount'
  percent: string
  amount: string
  note: string
  valid_until: string
}

function toTermsFormFields(row: Quote): TermsFormFields {
  const { percent, minor } = row.discount
  return {
    off: percent != null ? 'percent' : minor != null ? 'amount' : 'none',
    percent: percent == null ? '' : format.value.number(percent),
    amount: format.value.typedMoney(minor ?? null),
    note: row.note,
    valid_until: defaultValidUntil(row),
  }
}

function EditTerms({ row }: { row: Quote }) {
  const seen = useOriginal(`terms:${row.id}`, row)
  const form = useForm({
    name: `terms:${row.id}`,
    blank: toTermsFormFields(row),
    check: (fields) => {
      const { percent, minor } = discountOf(fields)
      return {
        percent: fields.off === 'percent' && percent === null && en.quote.line.missingNumber,
        amount: fields.off === 'amount' && minor === null && badAmount(),
      }
    },
    save: (fields) => {
      const { note, valid_until } = fields
      return editQuote(seen, { discount: discountOf(fields), note, valid_until: valid_until || null })
    },
    back: { at: 'quote', id: row.id },
  })
  const { field } = form
  const { off } = form.fields
  return (
    <FormPage form={form} overline={en.quote.builder.title} title={t.title} saveLabel={t.save}>
      <RadioGroup
        horizontal
        label={t.discount}
        options={[
          { value: 'none', label: t.none },
          { value: 'percent', label: t.percent },
          { value: 'amount', label: t.amount },
        ]}
        {...field('off')}
      />
      {off === 'percent' && <TextField decimal label={t.percentValue} {...field('percent')} />}
      {off === 'amount' && <TextField decimal label={t.amountValue} {...field('amount')} />}
      <TextField type="date" label={t.validUntil} {...field('valid_until')} />
      <TextField multiline label={t.note} {...field('note')} />
    </FormPage>
  )
}

/** The discount as percent or amount; null where it cannot be parsed or is negative. */
function discountOf({ off, percent, amount }: TermsFormFields) {
  const part = off === 'percent' ? format.value.readNumber(percent) : null
  const minor = off === 'amount' ? format.value.readMoney(amount) : null
  return {
    percent: part?.startsWith('-') ? null : part,
    minor: minor !== null && minor < 0 ? null : minor,
  }
}
