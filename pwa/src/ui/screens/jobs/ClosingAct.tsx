import type { Job, Stage } from '../../../domain/contract'
import { mayMove } from '../../../domain/states'
import { en } from '../../../domain/words'
import { goesTo } from '../../../domain/words/closing'
import { moveJob } from '../../../store/jobs'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { BillButton, hasToBill } from '../../features/billing/JobInvoices'
import { openOfJob, TakeNow } from '../../features/payments/JobMoney'
import { saveWithToast, showToast } from '../../toast'

const t = en.job

/** The end of a job: it is billed, then paid, then the machine goes home, and the job is closed. */
export function ClosingAct({ job }: { job: Job }) {
  const mayBill = permissions.value.has('bill')
  const bills = mayBill && hasToBill(job)
  const takes = mayBill && !bills && openOfJob(job) > 0
  const next = job.stage === 'ready' ? 'returned' : 'closed'
  const words = { label: goesTo[next], onPress: () => void move(job, next) }
  const mayGo = permissions.value.has('work_jobs') && mayMove(job.stage, next)
  return (
    <>
      {takes && <TakeNow job={job} main />}
      {bills && <BillButton job={job} main />}
      {mayGo && !bills && !takes && <PrimaryButton {...words} />}
      {mayGo && (bills || takes) && (
        <ButtonRow>
          <Button {...words} />
        </ButtonRow>
      )}
      {!bills && <BillButton job={job} />}
    </>
  )
}

async function move({ id, stage }: Job, next: Stage): Promise<void> {
  const moved = await saveWithToast(() => moveJob(id, next))
  if (moved) showToast(t.moved(en.stages[next]), mayMove(next, stage) ? () => moveJob(id, stage) : undefined)
}
