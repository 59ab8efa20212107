import { en } from '../../../domain/words'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { type FormPart, fieldBinder } from '../../useForm'
import type { UrgencyChoice, UrgencyFormFields } from './urgency'

const t = en.intake
const CHOICES = (['usual', 'by_date', 'down'] as const satisfies readonly UrgencyChoice[]).map((value) => ({
  value,
  label: en.urgencies[value],
}))

/** How urgent a job is, and the day it is needed by unless there is no hurry. */
export function UrgencyFields(part: FormPart<UrgencyFormFields>) {
  const field = fieldBinder(part)
  return (
    <>
      <RadioGroup label={t.urgency} options={CHOICES} {...field('urgency')} />
      {part.fields.urgency !== 'usual' && (
        <TextField type="date" label={t.needed} {...field('promised_on')} />
      )}
    </>
  )
}
