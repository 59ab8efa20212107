import { en } from '../../../domain/words'
import { safetyItems } from '../../../domain/words/safetyItems'
import { Button, ButtonRow } from '../../components/Button'

const t = en.job

/** What can be added to a job, and its next stage. */
export function AddButtons({ id }: { id: string }) {
  return (
    <ButtonRow>
      <Button label={t.addFinding} to={{ at: 'job-finding', id }} shortcut="job.finding" />
      <Button label={safetyItems.add} to={{ at: 'job-safety-item', id }} />
      <Button label={t.addComplaint} to={{ at: 'job-complaint', id }} shortcut="job.complaint" />
      <Button label={en.ticket.title} to={{ at: 'job-ticket', id }} />
      <Button label={t.move} to={{ at: 'job-stage', id }} shortcut="job.stage" />
    </ButtonRow>
  )
}
