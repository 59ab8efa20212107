import { type FigureName, LOADING, unitOf } from '../../../domain/dispatch/rigFields'
import { rig as t } from '../../../domain/words/rig'
import { TextField } from '../../components/Field'
import { BooleanRadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { PositionField } from '../../features/dispatch/PositionField'
import { units } from '../../features/dispatch/stopText'
import type { FormState } from '../../useForm'
import { BreakFields } from './BreakFields'
import type { RigFormFields } from './rigFormFields'

export const YES_NO = [
  [true, t.yes],
  [false, t.no],
] as const

interface PartProps {
  form: FormState<RigFormFields>
}

/** Number fields side by side, each with its unit. */
export function RigNumberFields({
  names,
  form: { fields, errors, update },
}: PartProps & { names: readonly FigureName[] }) {
  return (
    <div class="two-columns">
      {names.map((name) => (
        <TextField
          key={name}
          decimal
          label={labelOf(name)}
          value={fields.figures[name] ?? ''}
          error={errors[name]}
          onValueChange={(value) => update({ figures: { ...fields.figures, [name]: value } })}
        />
      ))}
    </div>
  )
}

/** Loading equipment and tie-downs. */
export function LoadingFields({ form }: PartProps) {
  const { field } = form
  return (
    <Section title={t.load}>
      <RigNumberFields names={LOADING} form={form} />
      <BooleanRadioGroup horizontal label={t.strapsCross} options={YES_NO} {...field('strapsCross')} />
      <BooleanRadioGroup horizontal label={t.winch} options={YES_NO} {...field('winch')} />
      <BooleanRadioGroup horizontal label={t.rampFull} options={YES_NO} {...field('rampFull')} />
      <TextField decimal label={t.crew} {...field('crew')} />
    </Section>
  )
}

/** Shift and home position. */
export function ShiftFields({ form }: PartProps) {
  const { field } = form
  return (
    <Section title={t.shift}>
      <div class="two-columns">
        <TextField type="time" label={t.shiftOpens} {...field('opens')} />
        <TextField type="time" label={t.shiftCloses} {...field('closes')} />
      </div>
      <BreakFields form={form} />
      <PositionField label={t.home} hint={t.homeHint} {...field('home')} />
    </Section>
  )
}

function labelOf(name: FigureName): string {
  const unit = unitOf(name, units())
  return unit ? t.inUnit(t.fields[name], unit) : t.fields[name]
}
