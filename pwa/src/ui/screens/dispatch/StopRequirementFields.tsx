import { STOP_NEEDS, STOP_PRIORITIES } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { TextField } from '../../components/Field'
import { BooleanRadioGroup, RadioGroup } from '../../components/RadioGroup'
import type { FormState } from '../../useForm'
import type { StopFormFields } from './stopFormFields'

const t = en.dispatch.ask

/** Requirements: equipment, people, daylight, duration. */
export function StopRequirementFields({ form }: { form: FormState<StopFormFields> }) {
  const { fields, update, field } = form
  return (
    <>
      <CheckboxGroup
        label={t.needs}
        values={fields.needs}
        options={STOP_NEEDS.map((value) => ({
          value,
          label: en.dispatch.needs[value],
          hint: t.needHints[value],
        }))}
        onValuesChange={(needs) => update({ needs })}
      />
      <RadioGroup
        horizontal
        label={t.priority}
        options={STOP_PRIORITIES.map((value) => ({ value, label: en.dispatch.priorities[value] }))}
        {...field('priority')}
      />
      <BooleanRadioGroup
        horizontal
        label={t.daylight}
        options={[
          [false, t.daylightAny],
          [true, t.daylightOnly],
        ]}
        {...field('daylight')}
      />
      <TextField decimal label={t.minutes} hint={t.minutesHint} {...field('minutes')} />
      <TextField multiline label={t.notes} {...field('notes')} />
    </>
  )
}
