import { useState } from 'preact/hooks'
import { CAUSES } from '../../../domain/clock'
import type { Cause } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { job } from '../../../store/jobs'
import { timeOf } from '../../../store/time'
import { Choice } from '../../components/Choice'
import { Select } from '../../components/Field'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { figures } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { jobWords, workWords } from './about'
import { start } from './Clock'

const its = en.clock

/** Why work is done again, and whose: then its clock starts. */
export function Rework({ jobId }: { jobId: string }) {
  const row = job(jobId)
  const { fields, put, drop } = useDraft<{ cause: Cause | null; repairs: string }>(`rework:${jobId}`, {
    cause: null,
    repairs: '',
  })
  const [wrong, setWrong] = useState<{ cause?: string }>({})
  if (!row) return <Nowhere />
  const done = timeOf(jobId).filter((entry) => entry.kind === 'repair' && entry.ended_at !== null)
  const repaired = done.find((entry) => entry.id === fields.repairs)

  async function begin() {
    if (fields.cause === null) return setWrong({ cause: its.missingCause })
    const work = {
      kind: 'rework',
      job_id: jobId,
      operation: repaired?.operation ?? '',
      line_id: repaired?.line_id ?? null,
      cause: fields.cause,
      repairs_id: repaired?.id ?? null,
    } as const
    if (!(await start(work))) return
    drop()
    goTo({ at: 'job', id: jobId }, { instead: true })
  }
  return (
    <Sheet
      over={jobWords(jobId)}
      title={its.reworkTitle}
      under={its.reworkHint}
      back={{ at: 'job-clock', id: jobId }}
      dock={<Slab words={its.reworkStart} form="rework" />}
    >
      <Form id="rework" wrong={wrong} onSend={() => void begin()}>
        <Choice
          label={its.reworkTitle}
          value={fields.cause}
          wrong={wrong.cause}
          options={CAUSES.map((value) => ({ value, words: its.causes[value] }))}
          onValue={(cause) => put({ cause })}
        />
        <Select
          label={its.reworkOf}
          value={fields.repairs}
          options={[
            ['', its.reworkWhole],
            ...done.map(
              (entry) =>
                [
                  entry.id,
                  en.app.joined([figures.value.moment(entry.started_at), workWords(entry)]),
                ] as const,
            ),
          ]}
          onValue={(repairs) => put({ repairs })}
        />
      </Form>
    </Sheet>
  )
}
