import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { quotesOf } from '../../../store/quotes'
import { permissions } from '../../../store/session/session'
import { laborToStart, running } from '../../../store/timeEntries'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { begin } from '../../features/clock/Clock'
import { QuoteButton } from '../../features/quotes/JobQuotes'

const t = en.job

/** The next action on a job: start agreed work, else its quote. */
export function JobNextAct({ job }: { job: Job }) {
  const line = permissions.value.has('clock') ? laborToStart(job.id) : undefined
  const decided = quotesOf(job.id).findLast(({ state }) => state === 'decided')
  if (!line || !decided || running.value.some(({ job_id }) => job_id === job.id))
    return <QuoteButton job={job} />
  return (
    <>
      <PrimaryButton
        label={t.startRepair}
        hint={t.startRepairHint(line.words)}
        shortcut="job.clock"
        onPress={() => void begin(line, job.id)}
      />
      <ButtonRow>
        <Button label={t.showQuote} to={{ at: 'quote', id: decided.id }} shortcut="job.quote" />
      </ButtonRow>
    </>
  )
}
