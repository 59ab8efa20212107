import { en } from '../../../domain/words'
import { openJobs } from '../../../store/jobs'
import { syncSummary } from '../../../store/queue/queue'
import { permissions } from '../../../store/session/session'
import { shopSession } from '../../../store/session/shopSession'
import { List } from '../../components/List'
import { Section } from '../../components/Section'
import { OpenQuestions } from '../../features/approval/ApprovalRequests'
import { Clock } from '../../features/clock/Clock'
import { OwnRuns } from '../../features/dispatch/TodayRuns'
import { JobRow } from '../../features/jobs/JobRow'
import { jobSection } from '../../features/jobs/jobSections'
import { FollowUpsDue } from '../../features/messages/FollowUpsDue'
import { UpdateNotice } from '../../features/update/UpdateNotice'
import { lazy } from '../../lazy'
import { ShopPage } from '../../ShopPage'
import { format, lastSyncAge, today } from '../../shopFormat'

const Unfinished = lazy(() =>
  import('../../features/drafts/UnfinishedForms').then((file) => file.UnfinishedForms),
)

const SetUp = lazy(() => import('../../features/setUp/SetUpList').then((file) => file.SetUpToday))

const PARTS = [
  ['past', en.today.promisedPast],
  ['answer', en.today.waiting],
  ['ready', en.today.ready],
  ['hand', en.today.working],
] as const

export function Today() {
  const now = today()
  const old = lastSyncAge()
  return (
    <ShopPage variant="today" title={format.value.longDay(now)} subtitle={old && <p>{en.app.stale(old)}</p>}>
      <UpdateNotice />
      {syncSummary.value.ready && permissions.value.has('edit_shop') && <SetUp />}
      <Clock jobId={null} />
      <OwnRuns />
      {(shopSession.value?.drafts.value.size ?? 0) > 0 && <Unfinished />}
      <OpenQuestions />
      <FollowUpsDue />
      {!openJobs.value.length && (
        <List
          items={syncSummary.value.ready ? openJobs.value : undefined}
          keyOf={(job) => job.id}
          empty={en.today.nothing}
          emptyHint={en.today.nothingHint}
        >
          {() => null}
        </List>
      )}
      {PARTS.map(([part, title]) => {
        const jobs = openJobs.value.filter((job) => jobSection(job, now) === part)
        return (
          jobs.length > 0 && (
            <Section key={part} title={en.today.count(title, jobs.length)}>
              <List items={jobs} keyOf={(job) => job.id} empty={en.today.nothing}>
                {(job) => <JobRow job={job} />}
              </List>
            </Section>
          )
        )
      })}
    </ShopPage>
  )
}
