import { en } from '../../../domain/words'
import { openJobs } from '../../../store/jobs'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import type { Route } from '../../router'
import type { Shortcut } from '../../shortcuts'

const t = en.clockFace

interface Props {
  jobId: string | null
  to: Route
  shortcut: Shortcut
}

/** Nothing is likely: the work is chosen. With no job at all there is hardly any, and the main act of Today is another. */
export function ChooseWork({ jobId, to, shortcut }: Props) {
  if (jobId !== null || openJobs.value.length)
    return <PrimaryButton label={t.start} hint={t.choose} to={to} shortcut={shortcut} />
  return (
    <ButtonRow stacked>
      <Button label={t.start} to={to} shortcut={shortcut} />
    </ButtonRow>
  )
}

/** Other work than the suggested one; on Today also the list of the own time. */
export function OtherWork({ jobId, to, shortcut }: Props) {
  return (
    <ButtonRow>
      <Button label={jobId === null ? t.otherWork : t.otherKind} to={to} shortcut={shortcut} />
      {jobId === null && <Button label={t.myTime} to={{ at: 'my-time' }} shortcut="today.myTime" />}
    </ButtonRow>
  )
}
