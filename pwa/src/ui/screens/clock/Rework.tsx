import type { Job, ReworkCause } from '../../../domain/contract'
import { REWORK_CAUSES } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { job } from '../../../store/jobs'
import { startClock, timeOf } from '../../../store/timeEntries'
import { SelectField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { jobText, workText } from '../../features/clock/timeEntryText'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'

const t = en.clock

/** The cause of rework and the job it repairs; saving starts the clock. */
export function Rework({ id: jobId }: { id: string }) {
  const row = job(jobId)
  return row ? <ReworkForm row={row} /> : <NotFound />
}

function ReworkForm({ row }: { row: Job }) {
  const done = timeOf(row.id).filter((entry) => entry.kind === 'repair' && entry.ended_at !== null)
  const form = useForm<{ cause: ReworkCause | null; repairs: string }, () => Promise<void>>({
    name: `rework:${row.id}`,
    blank: { cause: null, repairs: '' },
    check: ({ cause }) => ({ cause: cause === null && t.missingCause }),
    save: ({ cause, repairs }) => {
      if (cause === null) return null
      const repaired = done.find((entry) => entry.id === repairs)
      return startClock({
        kind: 'rework',
        job_id: row.id,
        operation: repaired?.operation ?? '',
        line_id: repaired?.line_id ?? null,
        cause,
        repairs_id: repaired?.id ?? null,
      })
    },
    back: { at: 'job-clock', id: row.id },
    next: () => ({ at: 'job', id: row.id }),
    saved: t.started(t.kinds.rework),
    undo: (undo) => undo,
  })
  return (
    <FormPage
      form={form}
      overline={jobText(row.id)}
      title={t.reworkTitle}
      subtitle={t.reworkHint}
      saveLabel={t.reworkStart}
    >
      <RadioGroup
        label={t.reworkTitle}
        options={REWORK_CAUSES.map((value) => ({ value, label: t.causes[value] }))}
        {...form.field('cause')}
      />
      <SelectField
        label={t.reworkOf}
        options={[
          ['', t.reworkWhole],
          ...done.map(
            (entry) =>
              [entry.id, en.app.joined([format.value.moment(entry.started_at), workText(entry)])] as const,
          ),
        ]}
        {...form.field('repairs')}
      />
    </FormPage>
  )
}
