import './styles'
import { useEffect } from 'preact/hooks'
import { isSameThing } from '../../../domain/bench/readings'
import type { Job, Reading } from '../../../domain/contract'
import { measure as t } from '../../../domain/words/readings'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { reading, readingsOf, readingsOfMachine, recordReading } from '../../../store/readings'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { navigate } from '../../router'
import { useForm } from '../../useForm'
import { LimitInputs } from './LimitInputs'
import { MeasureFields } from './MeasureFields'
import { Offers } from './Offers'
import { ReadingList } from './ReadingList'
import {
  BLANK_READING,
  checkReading,
  fieldsOfComputed,
  fieldsOfReading,
  isComplete,
  measuredOf,
  type ReadingFormFields,
} from './readingFields'
import { VerdictView } from './VerdictView'

interface Props {
  id: string
  /** The reading to take again. */
  repeatId?: string
  /** The reading whose value was typed wrong. */
  correctsId?: string
  /** Any text: by a second method. */
  second?: string
  /** What a calculator worked out for it: "10.17 N.m". */
  computed?: string
}

/** Takes a reading on a job; the verdict is shown while the value is typed. */
export function ReadingForm({ id, repeatId, correctsId, second, computed }: Props) {
  const row = job(id)
  if (!row) return <NotFound />
  const earlier = reading(repeatId ?? correctsId ?? '')
  return (
    <Form
      key={`${repeatId} ${correctsId} ${second}`}
      row={row}
      repeated={repeatId ? earlier : undefined}
      corrected={correctsId ? earlier : undefined}
      second={!!second}
      computed={computed}
    />
  )
}

interface FormProps {
  row: Job
  repeated: Reading | undefined
  corrected: Reading | undefined
  second: boolean
  computed: string | undefined
}

function Form({ row, repeated, corrected, second, computed }: FormProps) {
  const earlier = repeated ?? corrected
  const start = earlier ? fieldsOfReading(earlier) : BLANK_READING
  const form = useForm<ReadingFormFields, string>({
    name: `reading:${row.id}:${earlier?.id ?? ''}`,
    blank: { ...start, secondMethod: second || (corrected?.second_method ?? false) },
    check: checkReading,
    save: (fields) =>
      recordReading({
        job_id: row.id,
        what: fields.what.trim(),
        place: fields.place.trim(),
        ...measuredOf(fields),
        second_method: fields.secondMethod,
        words: fields.words.trim(),
        repeat_of_id: repeated?.id ?? corrected?.repeat_of_id ?? null,
        corrects_id: corrected?.id ?? null,
      }),
    back: { at: 'job-bench', id: row.id },
    next: (id) => ({ at: 'reading', id }),
    saved: null,
  })
  useComputed(computed, row.id, form.update)
  const { fields, field } = form
  const before = fields.what
    ? readingsOfMachine(row.machine_id).filter((other) =>
        isSameThing(other, { ...fields, unit: fields.unit || other.unit }),
      )
    : readingsOf(row.id)
  return (
    <FormPage
      form={form}
      overline={machineName(machine(row.machine_id))}
      title={earlier ? earlier.what : t.title}
      subtitle={
        earlier && [earlier.place, corrected ? t.correctTitle : t.repeatTitle].filter(Boolean).join(' · ')
      }
      saveLabel={t.save}
    >
      {!fields.what && <Offers row={row} onTake={form.update} />}
      {!earlier && (
        <>
          <TextField label={t.what} hint={t.whatHint} autocapitalize="off" {...field('what')} />
          <TextField label={t.place} hint={t.placeHint} autocapitalize="off" {...field('place')} />
        </>
      )}
      <MeasureFields form={form} />
      {!earlier && <CalculateButton jobId={row.id} />}
      {isComplete(fields) && <VerdictView reading={measuredOf(fields)} />}
      <LimitInputs form={form} />
      {before.length > 0 && (
        <Section title={t.readBefore} end={before.length}>
          <ReadingList readings={[...before].reverse()} />
        </Section>
      )}
    </FormPage>
  )
}

/** Takes over what a calculator worked out, once: what is typed after it stays, also when the page is loaded again. */
function useComputed(
  computed: string | undefined,
  jobId: string,
  update: (changed: Partial<ReadingFormFields>) => void,
): void {
  useEffect(() => {
    if (!computed) return
    update(fieldsOfComputed(computed))
    navigate({ at: 'job-reading', id: jobId }, { replace: true })
  }, [computed])
}

const CalculateButton = ({ jobId }: { jobId: string }) => (
  <ButtonRow>
    <Button label={t.calculate} to={{ at: 'calculators', jobId, purpose: 'reading' }} />
  </ButtonRow>
)
