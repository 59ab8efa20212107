import { useState } from 'preact/hooks'
import type { EntryKind, TimeEntry } from '../../../domain/contract'
import { isRunning } from '../../../domain/labor/clock'
import { en } from '../../../domain/words'
import { openJobs } from '../../../store/jobs'
import { shopSession } from '../../../store/session/shopSession'
import { addEntry, correctEntry, dropEntry, entry } from '../../../store/timeEntries'
import { maySeeAllTime } from '../../../store/timeReports'
import { Button, ButtonRow } from '../../components/Button'
import { SelectField, TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { isOwn, jobText, listOf, workText } from '../../features/clock/timeEntryText'
import { NotFound } from '../../NotFound'
import { memberName } from '../../names'
import { type FormState, useForm } from '../../useForm'
import { spanOf, type TimeFormFields, toTimeFormFields, validateTimeFields, workTyped } from './timeFields'

const t = en.clock

const KINDS: readonly EntryKind[] = ['repair', 'diagnosis', 'travel', 'errand', 'shop']

export function FixTime({ id }: { id: string }) {
  const row = entry(id)
  if (!row || row.state === 'replaced') return <NotFound />
  return <TimeForm key={id} row={row} whose={row.member_id} />
}

/** @param memberId whose time it is, if not the member's own */
export function AddTime({ memberId }: { memberId?: string | undefined }) {
  const whose = (maySeeAllTime() && memberId) || (shopSession.value?.who.member_id ?? '')
  return <TimeForm key={whose} row={null} whose={whose} />
}

/** Start, end and work of an entry: a correction of an entry, or a new one that no clock recorded. */
function TimeForm({ row, whose }: { row: TimeEntry | null; whose: string }) {
  const own = isOwn(whose)
  const runs = row !== null && isRunning(row)
  const [now] = useState(Date.now)
  const form = useForm<TimeFormFields>({
    name: `time:${row?.id ?? (own ? 'new' : `new:${whose}`)}`,
    blank: toTimeFormFields(row, now),
    check: (fields) => validateTimeFields(fields, row, whose),
    save: (fields) => {
      const { started_at, ended_at } = spanOf(fields, row)
      if (started_at === null || ended_at === null) return null
      const corrected = { work: workTyped(fields, row), started_at, ended_at, reason: fields.reason.trim() }
      return row
        ? correctEntry(row.id, corrected)
        : addEntry({ ...corrected, ...(!own && { member_id: whose }) })
    },
    back: listOf(whose),
  })
  const { fields, field } = form
  const remove = (gone: TimeEntry) => dropEntry(gone, fields.reason.trim() || t.dropHint)
  return (
    <FormPage
      form={form}
      overline={en.app.joined([
        own && row ? '' : own ? t.myTime : memberName(whose),
        row ? workText(row) : '',
      ])}
      title={row ? (runs ? (own ? t.fixRunning : t.fixRunningTheirs) : t.fixTitle) : t.addTitle}
      subtitle={row && [row.anomaly && t.anomalies[row.anomaly], t.fixHint].filter(Boolean).join(' ')}
      saveLabel={t.save}
      after={
        row && (
          <ButtonRow stacked>
            <Button
              wide
              label={t.drop}
              hint={t.dropHint}
              onPress={() => void form.remove({ action: () => remove(row), text: t.dropped })}
            />
          </ButtonRow>
        )
      }
    >
      {(runs ? (['end', 'start'] as const) : (['start', 'end'] as const)).map((edge) => (
        <TimeEdgeFields key={edge} edge={edge} own={own} field={field} />
      ))}
      <TextField label={row ? t.fields.reason : t.fields.reasonAdd} {...field('reason')} />
      {row?.kind !== 'rework' && <EntryWorkFields row={row} form={form} />}
    </FormPage>
  )
}

/** The kind of work and the job. */
function EntryWorkFields({
  row,
  form: { fields, update, field },
}: {
  row: TimeEntry | null
  form: FormState<TimeFormFields>
}) {
  const jobs = [...new Set([...(row?.job_id ? [row.job_id] : []), ...openJobs.value.map(({ id }) => id)])]
  return (
    <>
      <SelectField
        label={t.fields.kind}
        value={fields.kind}
        options={KINDS.map((kind) => [kind, t.kinds[kind]] as const)}
        onValueChange={(kind) => update({ kind: kind as EntryKind, ...(kind === 'shop' && { job: '' }) })}
      />
      <SelectField
        label={t.fields.job}
        options={[['', t.noJob], ...jobs.map((id) => [id, jobText(id)] as const)]}
        {...field('job')}
      />
    </>
  )
}

interface EdgeProps {
  edge: 'start' | 'end'
  own: boolean
  field: FormState<TimeFormFields>['field']
}

/** Day and time of the start or the end. */
function TimeEdgeFields({ edge, own, field }: EdgeProps) {
  const day = `${edge}Day` as const
  const time = `${edge}Time` as const
  const label = edge === 'end' && !own ? t.fields.endTimeTheirs : t.fields[time]
  return (
    <div class="two-columns">
      <TextField type="time" label={label} {...field(time)} />
      <TextField type="date" label={t.fields[day]} {...field(day)} />
    </div>
  )
}
