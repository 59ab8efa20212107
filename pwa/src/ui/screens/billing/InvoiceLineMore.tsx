import { RANKS } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { invoiceLineForm as t } from '../../../domain/words/invoices'
import { SelectField, TextField } from '../../components/Field'
import { More } from '../../components/More'
import { RadioGroup } from '../../components/RadioGroup'
import type { FormState } from '../../useForm'
import type { MoreOfLine } from './invoiceLineFields'

const OFF = [
  { value: 'none', label: t.offNone },
  { value: 'percent', label: t.offPercent },
  { value: 'amount', label: t.offAmount },
] as const

/** What a line of an invoice may have besides its words and its price. */
export function InvoiceLineMore({ form }: { form: FormState<MoreOfLine> }) {
  const { fields, field, update, errors } = form
  const inside = ['offPercent', 'offAmount', 'warrantyDays', 'warrantyHours']
  return (
    <More label={t.more} names={t.moreNames} invalid={inside.some((name) => errors[name])}>
      <RadioGroup horizontal label={t.off} options={OFF} {...field('off')} />
      {fields.off === 'percent' && <TextField decimal label={t.offPercent} {...field('offPercent')} />}
      {fields.off === 'amount' && <TextField decimal label={t.offAmount} {...field('offAmount')} />}
      <SelectField
        label={t.tax}
        options={[
          ['', t.taxUsual],
          ['yes', t.taxYes],
          ['no', t.taxNo],
        ]}
        value={fields.taxed}
        onValueChange={(taxed) => update({ taxed: taxed as MoreOfLine['taxed'] })}
      />
      <TextField decimal label={t.warrantyDays} hint={t.warrantyHint} {...field('warrantyDays')} />
      <TextField decimal label={t.warrantyHours} hint={t.warrantyHint} {...field('warrantyHours')} />
      <RadioGroup
        horizontal
        label={t.rank}
        options={RANKS.map((value) => ({ value, label: en.ranks[value] }))}
        {...field('rank')}
      />
    </More>
  )
}
