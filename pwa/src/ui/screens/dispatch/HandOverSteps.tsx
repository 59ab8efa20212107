import { hand as t } from '../../../domain/words/handover'
import { en } from '../../../domain/words/index'
import { lastMeter } from '../../../store/machines'
import { Button, ButtonRow } from '../../components/Button'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { SelectField, TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { Caution } from '../../components/Section'
import { FUELS, LEFT, MADE, type StepProps } from '../../features/dispatch/handOverDraft'
import { aboutStop } from '../../features/dispatch/stopText'
import { format } from '../../shopFormat'

export function MeterStep({ row, draft: { fields, update }, errors }: StepProps) {
  const { machine } = aboutStop(row)
  const last = machine && lastMeter(machine.id)
  const lastShown = last && en.meter.last(format.value.number(last.hours), format.value.day(last.read_on))
  return (
    <>
      <TextField
        decimal
        label={t.hours}
        hint={[lastShown, t.hoursHint].filter(Boolean).join('. ')}
        value={fields.hours}
        error={errors['hours']}
        enterKey="next"
        onValueChange={(hours) => update({ hours })}
      />
      {last && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.fresh}
            pressed={fields.fresh}
            onPress={() => update({ fresh: !fields.fresh })}
          />
        </ButtonRow>
      )}
    </>
  )
}

export function BelongingsStep({ draft: { fields, update } }: StepProps) {
  return (
    <>
      <TextField
        label={t.keys}
        hint={t.keysHint}
        value={fields.keys}
        onValueChange={(keys) => update({ keys })}
      />
      <SelectField
        label={t.fuel}
        value={fields.fuel}
        options={FUELS.map((fuel) => [fuel, t.fuels[fuel]] as const)}
        onValueChange={(fuel) => update({ fuel: fuel as typeof fields.fuel })}
      />
      <RadioGroup
        label={t.runs}
        value={fields.runs}
        options={[
          { value: 'yes', label: t.runsYes },
          { value: 'no', label: t.runsNo },
          { value: '', label: t.runsNot },
        ]}
        onValueChange={(runs) => update({ runs })}
      />
      <TextField
        multiline
        label={t.accessories}
        value={fields.accessories}
        onValueChange={(accessories) => update({ accessories })}
      />
    </>
  )
}

export function MadeSafeStep({ draft: { fields, update }, errors }: StepProps) {
  return (
    <>
      <Caution text={t.safeCaution} />
      <CheckboxGroup
        label={t.safeHint}
        values={fields.made}
        options={MADE.map((value) => ({ value, label: t.made[value] }))}
        onValuesChange={(made) => update({ made })}
      />
      <TextField
        decimal
        label={t.straps}
        hint={t.strapsHint}
        value={fields.straps}
        error={errors['straps']}
        onValueChange={(straps) => update({ straps })}
      />
    </>
  )
}

export function AsLeftStep({ draft: { fields, update } }: StepProps) {
  return (
    <>
      <CheckboxGroup
        label={t.leftHint}
        values={fields.left}
        options={LEFT.map((value) => ({ value, label: t.left[value] }))}
        onValuesChange={(left) => update({ left })}
      />
      <TextField
        label={t.leftNote}
        value={fields.leftNote}
        onValueChange={(leftNote) => update({ leftNote })}
      />
    </>
  )
}
