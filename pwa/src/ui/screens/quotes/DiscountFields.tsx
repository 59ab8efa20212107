import type { LineKind } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { type FormPart, fieldBinder } from '../../useForm'
import type { LineFormFields } from './lineFormFields'

const t = en.quote.line

/** The discount on the line or, on a discount line, on the quote. */
export function DiscountFields({ kind, ...part }: FormPart<LineFormFields> & { kind: LineKind }) {
  const field = fieldBinder(part)
  const { off } = part.fields
  const either = [
    { value: 'percent', label: t.offPercent },
    { value: 'amount', label: t.offAmount },
  ] as const
  return (
    <>
      <RadioGroup
        horizontal
        label={kind === 'discount' ? t.offQuote : t.off}
        options={kind === 'discount' ? either : [{ value: 'none', label: t.offNone }, ...either]}
        {...field('off')}
      />
      {off === 'percent' && <TextField decimal label={t.percent} {...field('offPercent')} />}
      {off === 'amount' && <TextField decimal label={t.amount} {...field('offAmount')} />}
    </>
  )
}
