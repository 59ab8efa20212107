import type { Job } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { machine } from '../../../store/machines'
import { ListItem } from '../../components/List'
import { Serial } from '../../components/Serial'
import { machineName, waitingText } from '../../names'
import { dayOf, format } from '../../shopFormat'

/** One job in a list. `by`: what the list is about, left out of its items. */
export function JobRow({ job, by }: { job: Job; by?: 'customer' | 'machine' }) {
  const machineLabel = machineName(machine(job.machine_id))
  const whose = customer(job.customer_id)?.name ?? en.app.noName
  const rest = [
    by ? null : machineLabel,
    job.urgency === 'down' && en.urgencies.down,
    waitingText(job),
    job.promised_on && en.today.promised(format.value.weekday(job.promised_on)),
  ].filter(Boolean)
  return (
    <ListItem
      to={{ at: 'job', id: job.id }}
      title={
        by === 'customer' ? machineLabel : by === 'machine' ? format.value.day(dayOf(job.opened_at)) : whose
      }
      value={<Serial text={shownName(job)} />}
      details={
        <>
          <b>{en.stages[job.stage]}</b>
          {rest.map((words) => ` · ${words}`)}
        </>
      }
    />
  )
}

/** One job in one line of Today: the customer, why it is listed, its number. */
export function ShortJobRow({ job, why }: { job: Job; why: string }) {
  return (
    <ListItem
      to={{ at: 'job', id: job.id }}
      title={
        <>
          {customer(job.customer_id)?.name || en.app.noName} <span>{why}</span>
        </>
      }
      value={<Serial text={shownName(job)} />}
    />
  )
}
