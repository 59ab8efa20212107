import { en } from '../../../domain/words'
import { priceBook } from '../../../store/priceBook'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { TextField } from '../../components/Field'
import { format } from '../../shopFormat'
import type { FormPart } from '../../useForm'
import { type TermsFormFields, termsToTell } from './intakeTerms'

const t = en.terms

interface Props extends FormPart<TermsFormFields> {
  /** Who accepts them, unless somebody else is named. */
  customer: string
}

/** What the customer was told and accepted: the diagnosis fee and storage, by the price book. */
export function TermsFields({ fields, errors, update, customer }: Props) {
  const { fee, credited, free_days, per_day, cap } = termsToTell(priceBook.value?.prices)
  const { money } = format.value
  const options = [
    ...(fee === null
      ? []
      : [
          {
            value: 'diagnosis' as const,
            label: t.diagnosis(money(fee)),
            ...(credited && { hint: t.credited }),
          },
        ]),
    ...(per_day === null
      ? []
      : [
          {
            value: 'storage' as const,
            label: t.storage(money(per_day)),
            hint: en.app.joined([t.free(free_days), cap === null ? '' : t.most(money(cap))]),
          },
        ]),
  ]
  if (!options.length) return <p class="hint">{t.none}</p>
  return (
    <>
      <CheckboxGroup
        label={t.told}
        options={options}
        values={fields.accepted}
        error={errors['accepted']}
        onValuesChange={(accepted) => update({ accepted })}
      />
      {fields.accepted.length > 0 && (
        <TextField
          label={t.who}
          autocapitalize="words"
          value={fields.who ?? customer}
          error={errors['who']}
          onValueChange={(who) => update({ who })}
        />
      )}
    </>
  )
}
