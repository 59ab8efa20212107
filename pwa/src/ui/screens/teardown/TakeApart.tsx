import { useState } from 'preact/hooks'
import { teardown as t } from '../../../domain/words/teardown'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { formPicturesOf } from '../../../store/pictures/attachments'
import { nextOf, recordRemoval, removalStepsOf, removeRemovalStep, teardownOf } from '../../../store/teardown'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { Cautions } from '../../features/cautions/Cautions'
import { DraftPictures } from '../../features/pictures/Pictures'
import { useWakeLock } from '../../features/wakeLock/useWakeLock'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { useForm } from '../../useForm'
import { FastenerCounts } from './FastenerCounts'
import { StepFields } from './StepFields'
import { StepList } from './StepList'
import { bagFault, blankStep, newFasteners, newStep, type StepForm } from './stepForm'

/** Taking apart, one step after another: a photo, what comes off, its fasteners, and the next one. */
export function TakeApart({ id }: { id: string }) {
  useWakeLock()
  // Each step is a form of its own.
  const [turn, setTurn] = useState(0)
  return job(id) ? <NextStep key={`${id}:${turn}`} id={id} onSaved={() => setTurn(turn + 1)} /> : <NotFound />
}

function NextStep({ id, onSaved }: { id: string; onSaved: () => void }) {
  const row = job(id)
  const steps = removalStepsOf(id)
  const { position, bag } = nextOf(steps)
  const name = `removal:${id}`
  const pictures = formPicturesOf(name)
  const form = useForm<StepForm, string>({
    name,
    blank: blankStep(),
    check: (fields) => ({
      bag: bagFault(fields.bag),
      what: !fields.what.trim() && !pictures.length && !newFasteners(fields).length && t.nothingYet,
    }),
    save: (fields) =>
      recordRemoval(
        { job_id: id, position, ...newStep(fields, bag) },
        newFasteners(fields),
        formPicturesOf(name),
      ),
    saved: t.saved(steps.length + 1),
    undo: (saved) => () => removeRemovalStep(saved),
    next: () => {
      onSaved()
      return { at: 'job-teardown', id }
    },
    back: { at: 'job-bench', id },
  })
  const here = newFasteners(form.fields).reduce((sum, { count }) => sum + count, 0)
  const off = teardownOf(id).fasteners.reduce((sum, { count }) => sum + count, 0)
  return (
    <FormPage
      form={form}
      variant="one-hand"
      overline={machineName(machine(row?.machine_id ?? ''))}
      title={t.step(steps.length + 1)}
      saveLabel={t.next}
      saveHint={t.nextHint(here, off)}
      after={<StepList steps={steps} />}
    >
      <Cautions job={id} codes={['raised_machine', 'springs', 'fuel', 'battery']} />
      <DraftPictures form={name} title={t.pictures} />
      <TextField label={t.what} hint={t.whatHint} {...form.field('what')} />
      <FastenerCounts jobId={id} form={form} />
      <StepFields form={form} jobId={id} bag={bag} />
    </FormPage>
  )
}
