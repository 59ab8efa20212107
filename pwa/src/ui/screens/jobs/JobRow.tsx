import { shownName } from '../../../domain/marks'
import type { Job } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { machine } from '../../../store/machines'
import { Row } from '../../components/Rows'
import { figures } from '../../shopFigures'
import { machineName, waitingWords } from '../names'

/** One job in a list. `by` says what the list is already about, and need not be said again. */
export function JobRow({ job, by }: { job: Job; by?: 'customer' | 'machine' }) {
  const its = machineName(machine(job.machine_id))
  const whose = customer(job.customer_id)?.name ?? en.app.noName
  const rest = [
    by ? null : its,
    waitingWords(job),
    job.promised_on && en.job.promised(figures.value.weekday(job.promised_on)),
  ].filter(Boolean)
  return (
    <Row
      to={{ at: 'job', id: job.id }}
      lead={
        by === 'customer' ? its : by === 'machine' ? figures.value.day(job.opened_at.slice(0, 10)) : whose
      }
      figure={shownName(job)}
      also={
        <>
          <b>{en.stages[job.stage]}</b>
          {rest.map((words) => ` · ${words}`)}
        </>
      }
    />
  )
}
