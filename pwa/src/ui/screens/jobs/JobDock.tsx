import type { Job } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { quotesOf } from '../../../store/quotes'
import { permissions } from '../../../store/session'
import { running, startsWith } from '../../../store/time'
import { Key, Keys, Slab } from '../../components/Press'
import { begin } from '../clock/Clock'
import { QuoteSlab } from '../quotes/JobQuotes'

const its = en.job

/** The next thing to do on a job: the work that was just agreed, else its quote. */
export function JobDock({ job }: { job: Job }) {
  const line = permissions.value.has('clock') ? startsWith(job.id) : undefined
  const decided = quotesOf(job.id).findLast(({ state }) => state === 'decided')
  if (!line || !decided || running.value.some(({ job_id }) => job_id === job.id))
    return <QuoteSlab job={job} />
  return (
    <>
      <Slab
        words={its.startRepair}
        hint={its.startRepairHint(line.words)}
        onPress={() => void begin(line, job.id)}
      />
      <Keys>
        <Key words={its.showQuote} to={{ at: 'quote', id: decided.id }} />
      </Keys>
    </>
  )
}
