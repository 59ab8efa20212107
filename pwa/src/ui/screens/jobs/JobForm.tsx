import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { customer, sitesOf } from '../../../store/customers'
import { editJob, job } from '../../../store/jobs'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { ARRIVALS } from './arrivals'
import { UrgencyFields } from './UrgencyFields'
import { toUrgency, urgencyErrors, urgencyOf } from './urgency'

const t = en.job

export function JobForm({ id }: { id: string }) {
  const row = job(id)
  return row ? <EditJob row={row} /> : <NotFound />
}

function EditJob({ row }: { row: Job }) {
  const seen = useOriginal(`job:${row.id}`, row)
  const sites = sitesOf(row.customer_id)
  const form = useForm({
    name: `job:${row.id}`,
    blank: { ...urgencyOf(row), arrives_by: row.arrives_by, site_id: row.site_id ?? '', notes: row.notes },
    check: urgencyErrors,
    save: ({ arrives_by, site_id, notes, ...urgency }) =>
      editJob(seen, { ...toUrgency(urgency), arrives_by, site_id: site_id || null, notes }),
    back: { at: 'job', id: row.id },
  })
  return (
    <FormPage
      form={form}
      overline={customer(row.customer_id)?.name ?? ''}
      title={t.editTitle}
      saveLabel={t.save}
    >
      <UrgencyFields {...form} />
      <RadioGroup label={en.intake.arrival} options={ARRIVALS} {...form.field('arrives_by')} />
      {sites.length > 0 && (
        <RadioGroup
          label={t.fields.site}
          options={[
            { value: '', label: t.atShop },
            ...sites.map((site) => ({ value: site.id, label: site.label, hint: site.access_notes })),
          ]}
          {...form.field('site_id')}
        />
      )}
      <TextField multiline label={t.fields.notes} {...form.field('notes')} />
    </FormPage>
  )
}
