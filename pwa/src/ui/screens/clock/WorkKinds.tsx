import type { WorkDetails } from '../../../domain/labor/clock'
import { en } from '../../../domain/words'
import { plainWork } from '../../../store/timeEntries'
import { Button, ButtonRow } from '../../components/Button'
import { start } from '../../features/clock/Clock'
import { navigate } from '../../router'

const t = en.clock
const ON_A_JOB = ['repair', 'diagnosis', 'travel', 'errand'] as const
const ON_NONE = ['shop', 'errand', 'travel'] as const

/** Starts a clock and leaves for where it is shown. */
export async function begin(work: WorkDetails) {
  if (!(await start(work))) return
  navigate(work.job_id === null ? { at: 'today' } : { at: 'job', id: work.job_id }, { replace: true })
}

/** The kinds of work as large buttons. */
export function WorkKinds({ jobId }: { jobId: string | null }) {
  return (
    <ButtonRow stacked>
      {(jobId === null ? ON_NONE : ON_A_JOB).map((kind) => (
        <Button
          key={kind}
          wide
          label={t.kinds[kind]}
          hint={t.kindHints[kind]}
          onPress={() => void begin(plainWork(kind, jobId))}
        />
      ))}
      {jobId !== null && (
        <Button wide label={t.kinds.rework} hint={t.kindHints.rework} to={{ at: 'job-rework', id: jobId }} />
      )}
    </ButtonRow>
  )
}
