import { teardown as t } from '../../../domain/words/teardown'
import { job } from '../../../store/jobs'
import { addPutBackRule, removePutBackRule, teardownOf } from '../../../store/teardown'
import { SelectField, TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'
import { nameOfStep } from './stepName'

/** A rule of a job: which step goes back before which, and why. */
export function RuleForm({ id }: { id: string }) {
  return job(id) ? <Fields jobId={id} /> : <NotFound />
}

function Fields({ jobId }: { jobId: string }) {
  const form = useForm({
    name: `put-back-rule:${jobId}`,
    blank: { before: '', after: '', reason: '' },
    check: ({ before, after }) => ({
      before: !before && t.ruleMissing,
      after: (!after && t.ruleMissing) || (after === before && t.ruleSame),
    }),
    save: ({ before, after, reason }) =>
      addPutBackRule({ job_id: jobId, before_id: before, after_id: after, reason: reason.trim() }),
    saved: t.ruleSaved,
    undo: (rule) => () => removePutBackRule(rule as string),
    back: { at: 'job-put-back', id: jobId },
  })
  const steps = teardownOf(jobId).steps.map(({ id }) => [id, nameOfStep(id)] as const)
  const options = [['', t.ruleMissing] as const, ...steps]
  return (
    <FormPage form={form} title={t.ruleTitle} saveLabel={t.save}>
      <SelectField label={t.ruleFirst} options={options} {...form.field('before')} />
      <SelectField label={t.ruleThen} options={options} {...form.field('after')} />
      <TextField label={t.ruleReason} hint={t.ruleReasonHint} {...form.field('reason')} />
    </FormPage>
  )
}
