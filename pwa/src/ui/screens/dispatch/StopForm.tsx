import { type Job, STOP_NEEDS, STOP_PRIORITIES, type Stop, type StopKind } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { sitesOf } from '../../../store/customers'
import { askStop, dropStop, editStop, stop } from '../../../store/dispatch'
import { job } from '../../../store/jobs'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { SelectField, TextField } from '../../components/Field'
import { BooleanRadioGroup, RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { jobText } from '../../features/clock/timeEntryText'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { type FormState, useForm } from '../../useForm'
import { type StopFormFields, toStopFields, toStopFormFields, validateStop } from './stopFormFields'
import { TimeWindowFields } from './TimeWindowFields'

const t = en.dispatch.ask

export function NewStop({ id, kind }: { id: string; kind: StopKind }) {
  const row = job(id)
  return row ? <StopForm key={`${id}${kind}`} row={row} kind={kind} seen={null} /> : <NotFound />
}

export function ChangeStop({ id }: { id: string }) {
  const seen = useOriginal(`stop:${id}`, stop(id))
  const row = seen && job(seen.job_id)
  return stop(id) && row ? <StopForm row={row} kind={seen.kind} seen={seen} /> : <NotFound />
}

interface Props {
  row: Job
  kind: StopKind
  seen: Stop | null
}

/** The form of a stop: site, time windows, requirements. */
function StopForm({ row, kind, seen }: Props) {
  const sites = sitesOf(row.customer_id)
  const usual = row.site_id ?? (sites.length === 1 ? sites[0]?.id : undefined) ?? ''
  const form = useForm<StopFormFields>({
    name: `stop:${seen?.id ?? `${row.id}:${kind}`}`,
    blank: toStopFormFields(seen, usual, kind === 'return' ? (row.promised_on ?? '') : ''),
    check: validateStop,
    save: (fields) => {
      const wanted = toStopFields(fields)
      return seen ? editStop(seen, wanted) : askStop(row, kind, { ...wanted, urgent: fields.urgent })
    },
    back: seen ? { at: 'stop', id: seen.id } : { at: 'job', id: row.id },
    saved: t.saved,
  })
  const { fields, field } = form
  return (
    <FormPage
      form={form}
      overline={jobText(row.id)}
      title={seen ? t.editTitle : t.titles[kind]}
      saveLabel={seen ? t.saveEdit : t.save}
      saveHint={seen ? undefined : t.saveHint}
    >
      <SelectField
        label={t.place}
        options={[
          ...(fields.site ? [] : [['', t.noPlace] as const]),
          ...sites.map(({ id, label, address }) => [id, en.app.joined([label, address])] as const),
        ]}
        {...field('site')}
      />
      <ButtonRow stacked>
        <Button wide label={t.addPlace} to={{ at: 'customer-site', id: row.customer_id }} />
      </ButtonRow>
      <Section title={t.when} hint={t.whenHint}>
        <TimeWindowFields form={form} />
        <div class="two-columns">
          <TextField type="date" label={t.earliest} {...field('earliest')} />
          <TextField type="date" label={t.promised} {...field('promised')} />
        </div>
        <TextField type="date" label={t.wait} hint={t.waitHint} {...field('wait')} />
      </Section>
      <RequirementFields form={form} />
      {seen ? <Drop form={form} row={seen} /> : permissions.value.has('drive_runs') && <Urgent form={form} />}
    </FormPage>
  )
}

interface PartProps {
  form: FormState<StopFormFields>
}

/** Requirements: equipment, people, daylight, duration. */
function RequirementFields({ form: { fields, update, field } }: PartProps) {
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

function Urgent({ form: { fields, update } }: PartProps) {
  const onPress = () => update({ urgent: !fields.urgent })
  return (
    <ButtonRow stacked>
      <Button wide label={t.urgent} hint={t.urgentHint} pressed={fields.urgent} onPress={onPress} />
    </ButtonRow>
  )
}

function Drop({ form, row }: PartProps & { row: Stop }) {
  const to = { at: 'job', id: row.job_id } as const
  return (
    <ButtonRow stacked>
      <Button
        wide
        label={t.drop}
        onPress={() => void form.remove({ action: () => dropStop(row), text: t.dropped, to })}
      />
    </ButtonRow>
  )
}
