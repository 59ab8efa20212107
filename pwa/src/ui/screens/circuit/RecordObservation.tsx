import type { Circuit, CircuitModel } from '../../../domain/contract'
import { circuit as t, testText } from '../../../domain/words/circuit'
import { circuit, recordObservation } from '../../../store/circuits'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { Button, ButtonRow } from '../../components/Button'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { SelectField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { type FormPart, useForm } from '../../useForm'
import { controlsUsed, partName } from './diagnosis'
import {
  isMeasured,
  observationOf,
  type SeenFields,
  type SeenParams,
  startOf,
  withControls,
  withoutOpposite,
} from './seenFields'

const CHECKS = (['crank', 'run', 'voltage', 'continuity'] as const).map((value) => ({
  value,
  label: t.checks[value],
  hint: t.checkHints[value],
}))
const CONDITIONS = (['cold', 'hot', 'wet', 'shaken'] as const).map((value) => ({ value, label: t[value] }))

/** Records what was seen: what was looked at, how the controls stood, and one tap for every try. */
export function RecordObservation(params: SeenParams) {
  const row = circuit(params.circuitId)
  return row ? <ObservationForm row={row} params={params} /> : <NotFound />
}

function ObservationForm({ row, params }: { row: Circuit; params: SeenParams }) {
  const jobRow = job(params.id)
  const { wiring } = row
  const form = useForm<SeenFields>({
    name: `circuit-seen:${params.id}:${params.check ?? ''}:${params.part ?? ''}:${params.on ?? ''}:${params.shaken ?? ''}`,
    blank: startOf(params),
    check: ({ check, part, yes, no }) => ({
      part: isMeasured(check) && !part && t.missingPart,
      answer: yes + no === 0 && t.missingTry,
    }),
    save: (fields) =>
      recordObservation({
        job_id: params.id,
        circuit_id: row.id,
        observation: observationOf(fields, Math.min(600, Number(params.minutes) || 0)),
      }),
    back: { at: 'job-circuit', id: params.id, circuitId: row.id },
  })
  const { fields, update } = form
  const { check, yes, no } = fields
  const [good, bad] = t.answers[check]
  const tries = yes + no
  const shown = observationOf(fields, 0)
  return (
    <FormPage
      form={form}
      overline={machineName(machine(jobRow?.machine_id ?? ''))}
      title={t.seeTitle}
      saveLabel={tries ? t.save(`${good} ${t.counted(yes, tries)}`) : t.saveNothing}
      missing={tries ? undefined : t.missingTry}
      dockTop={
        <ButtonRow>
          <Button label={`${good}${yes ? ` × ${yes}` : ''}`} onPress={() => update({ yes: yes + 1 })} />
          <Button label={`${bad}${no ? ` × ${no}` : ''}`} onPress={() => update({ no: no + 1 })} />
        </ButtonRow>
      }
    >
      <p>
        <b>
          {isMeasured(check) && !shown.part
            ? t.checks[check]
            : testText(shown, partName(wiring, shown.part), controlsUsed(wiring, check, shown.part))}
        </b>
      </p>
      <p>
        {t.answer}. {t.answerHint}
      </p>
      {tries > 0 && <Button label={t.undoTap} onPress={() => update({ yes: 0, no: 0 })} />}
      <Where wiring={wiring} form={form} />
      <RadioGroup label={t.check} options={CHECKS} {...form.field('check')} />
    </FormPage>
  )
}

/** Where it was looked at and how: the part, the controls that count, the conditions. */
function Where({ wiring, form }: { wiring: CircuitModel; form: FormPart<SeenFields> }) {
  const { fields, update, errors } = form
  const { check, part, controls, conditions: before } = fields
  const used = controlsUsed(wiring, check, isMeasured(check) ? part : null)
  return (
    <>
      {isMeasured(check) && (
        <SelectField
          label={t.part}
          value={part}
          options={[['', t.noPart], ...wiring.parts.map(({ key, name }) => [key, name] as const)]}
          onValueChange={(chosen) => update({ part: chosen })}
          error={errors['part']}
        />
      )}
      {used.length > 0 && (
        <CheckboxGroup
          label={t.controls}
          values={used.filter((each) => controls[each])}
          options={used.map((value) => ({ value, label: t.controlNames[value] }))}
          onValuesChange={(on) => update({ controls: withControls(controls, used, on) })}
        />
      )}
      <CheckboxGroup
        label={t.conditions}
        values={before}
        options={CONDITIONS}
        onValuesChange={(conditions) => update({ conditions: withoutOpposite(conditions, before) })}
      />
    </>
  )
}
