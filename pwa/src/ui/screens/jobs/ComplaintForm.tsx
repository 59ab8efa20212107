import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { customer } from '../../../store/customers'
import { addComplaint, job } from '../../../store/jobs'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'

const t = en.complaint

export function ComplaintForm({ id: jobId }: { id: string }) {
  const row = job(jobId)
  return row ? <NewComplaint row={row} /> : <NotFound />
}

function NewComplaint({ row }: { row: Job }) {
  const form = useForm({
    name: `complaint:${row.id}`,
    blank: { words: '', happens_when: '' },
    check: ({ words }) => ({ words: !words.trim() && t.missing }),
    save: (fields) => addComplaint({ job_id: row.id, ...fields }),
    back: { at: 'job', id: row.id },
  })
  return (
    <FormPage form={form} overline={customer(row.customer_id)?.name ?? ''} title={t.title} saveLabel={t.save}>
      <TextField multiline label={t.words} {...form.field('words')} />
      <TextField label={t.when} hint={t.whenHint} {...form.field('happens_when')} />
    </FormPage>
  )
}
