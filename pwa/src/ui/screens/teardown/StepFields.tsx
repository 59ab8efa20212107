import type { RemovalKind } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import { removalStepsOf } from '../../../store/teardown'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { SelectField, TextField } from '../../components/Field'
import { More } from '../../components/More'
import { type FormPart, fieldBinder } from '../../useForm'
import type { StepForm } from './stepForm'
import { stepName } from './stepName'

const KINDS = (Object.keys(t.kinds) as RemovalKind[]).map((kind) => [kind, t.kinds[kind]] as const)

interface Props {
  form: FormPart<StepForm>
  jobId: string
  /** The bag that the step gets where none is typed; null: none. */
  bag: number | null
  /** The step itself, which cannot be behind itself. */
  own?: string
}

/** The fields of a step that are seldom needed while the hands are busy. */
export function StepFields({ form, jobId, bag, own }: Props) {
  const field = fieldBinder(form)
  const steps = removalStepsOf(jobId)
  const behind = steps
    .map((step, at) => [step.id, stepName(step, at + 1)] as const)
    .filter(([id]) => id !== own)
    .toReversed()
  return (
    <More label={t.aside} names={t.asideNames} invalid={Boolean(form.errors['bag'])}>
      <TextField label={t.place} {...field('place')} />
      <SelectField
        label={t.kind}
        options={KINDS}
        value={form.fields.kind}
        onValueChange={(kind) => form.update({ kind: kind as RemovalKind })}
      />
      <CheckboxGroup
        label={t.flags}
        values={form.fields.loosened ? ['loosened'] : []}
        options={[{ value: 'loosened', label: t.loosened, hint: t.loosenedHint }]}
        onValuesChange={(values) => form.update({ loosened: values.length > 0 })}
      />
      <TextField
        label={t.bag}
        type="text"
        decimal
        {...(bag !== null && { hint: t.bagNumber(bag) })}
        {...field('bag')}
      />
      {behind.length > 0 && (
        <SelectField label={t.behind} options={[['', t.behindNone], ...behind]} {...field('behind_id')} />
      )}
    </More>
  )
}
