import type { Job, JobStopKind } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { isJobStop, type JobStop, stop } from '../../../store/dispatch'
import { askStop, dropStop, editStop } from '../../../store/dispatchCommands'
import { job } from '../../../store/jobs'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { jobText } from '../../features/clock/timeEntryText'
import { PlacePicker, placeOf, usualPlace } from '../../features/dispatch/PlacePicker'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { type FormState, useForm } from '../../useForm'
import { StopRequirementFields } from './StopRequirementFields'
import { StopSizeFields, sizeCommands, stopSizeErrors, unmeasuredMachine } from './StopSizeFields'
import { SupplierStopForm } from './SupplierStopForm'
import { type StopFormFields, toStopFields, toStopFormFields, validateStop } from './stopFormFields'
import { TimeWindowFields } from './TimeWindowFields'

const t = en.dispatch.ask

export function NewStop({ id, kind }: { id: string; kind: JobStopKind }) {
  const row = job(id)
  return row ? <StopForm key={`${id}${kind}`} row={row} kind={kind} seen={null} /> : <NotFound />
}

export function ChangeStop({ id }: { id: string }) {
  const seen = useOriginal(`stop:${id}`, stop(id))
  if (!seen || !stop(id)) return <NotFound />
  if (!isJobStop(seen)) return <SupplierStopForm seen={seen} />
  const row = job(seen.job_id)
  return row ? <StopForm row={row} kind={seen.kind} seen={seen} /> : <NotFound />
}

interface Props {
  row: Job
  kind: JobStopKind
  seen: JobStop | null
}

function useStopForm({ row, kind, seen }: Props, unmeasured: ReturnType<typeof unmeasuredMachine>) {
  const placeIn = ({ site, where }: StopFormFields) => placeOf(row.customer_id, { ...where, siteId: site })
  return useForm<StopFormFields>({
    name: `stop:${seen?.id ?? `${row.id}:${kind}`}`,
    blank: toStopFormFields(
      seen,
      row.site_id ?? usualPlace(row.customer_id),
      kind === 'return' ? (row.promised_on ?? '') : '',
      row.urgency === 'down' ? 'soon' : 'usual',
    ),
    check: (fields) => ({
      ...validateStop(fields, placeIn(fields)),
      ...(unmeasured && stopSizeErrors(unmeasured, fields.size)),
    }),
    save: (fields) => {
      const wanted = toStopFields(fields)
      const place = placeIn(fields)
      if (!place) return null
      const measured = sizeCommands(unmeasured, fields.size)
      return seen
        ? editStop(seen, wanted, row.customer_id, place, measured)
        : askStop(row, kind, { ...wanted, urgent: fields.urgent }, place, measured)
    },
    back: seen ? { at: 'stop', id: seen.id } : { at: 'job', id: row.id },
    saved: t.saved,
  })
}

/** The form of a stop: site, time windows, requirements. */
function StopForm(props: Props) {
  const { row, kind, seen } = props
  const unmeasured = unmeasuredMachine(row, kind)
  const form = useStopForm(props, unmeasured)
  const { fields, errors, update, field } = form
  return (
    <FormPage
      form={form}
      overline={jobText(row.id)}
      title={seen ? t.editTitle : t.titles[kind]}
      saveLabel={seen ? t.saveEdit : t.save}
      saveHint={seen ? undefined : t.saveHint}
    >
      <PlacePicker
        customerId={row.customer_id}
        fields={{ ...fields.where, siteId: fields.site }}
        error={errors['site']}
        update={({ siteId = fields.site, ...typed }) =>
          update({ site: siteId, where: { ...fields.where, ...typed } })
        }
      />
      <Section title={t.when} hint={t.whenHint}>
        <TimeWindowFields form={form} />
        <div class="two-columns">
          <TextField type="date" label={t.earliest} {...field('earliest')} />
          <TextField type="date" label={t.promised} {...field('promised')} />
        </div>
        <TextField type="date" label={t.wait} hint={t.waitHint} {...field('wait')} />
      </Section>
      {unmeasured && (
        <StopSizeFields
          machine={unmeasured}
          size={fields.size}
          errors={errors}
          onSize={(size) => update({ size })}
        />
      )}
      <StopRequirementFields form={form} />
      {seen ? <Drop form={form} row={seen} /> : permissions.value.has('drive_runs') && <Urgent form={form} />}
    </FormPage>
  )
}

interface PartProps {
  form: FormState<StopFormFields>
}

function Urgent({ form: { fields, update } }: PartProps) {
  const onPress = () => update({ urgent: !fields.urgent })
  return (
    <ButtonRow stacked>
      <Button wide label={t.urgent} hint={t.urgentHint} pressed={fields.urgent} onPress={onPress} />
    </ButtonRow>
  )
}

function Drop({ form, row }: PartProps & { row: JobStop }) {
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
