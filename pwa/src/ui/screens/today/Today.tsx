import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { openJobs } from '../../../store/jobs'
import { syncSummary } from '../../../store/queue/queue'
import { permissions } from '../../../store/session/session'
import { shopSession } from '../../../store/session/shopSession'
import { Columns } from '../../components/Columns'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { Answers } from '../../features/approval/Answers'
import { Clock } from '../../features/clock/Clock'
import { ClockedToday } from '../../features/clock/ClockedToday'
import { OwnRuns } from '../../features/dispatch/TodayRuns'
import { ShortJobRow } from '../../features/jobs/JobRow'
import { type JobSection, jobSection, whyListed } from '../../features/jobs/jobSections'
import { FollowUpsDue, followUpsHere } from '../../features/messages/FollowUpsDue'
import { SharedWaiting } from '../../features/pictures/SharedWaiting'
import { UpdateNotice } from '../../features/update/UpdateNotice'
import { lazy } from '../../lazy'
import { ShopPage } from '../../ShopPage'
import { format, lastSyncAge, today } from '../../shopFormat'

const t = en.today

const Unfinished = lazy(() =>
  import('../../features/drafts/UnfinishedForms').then((file) => file.UnfinishedForms),
)

const SetUp = lazy(() => import('../../features/setUp/SetUpList').then((file) => file.SetUpToday))

const Office = lazy(() => import('../../features/waits/OfficeSections').then((file) => file.OfficeToday))

const SECTIONS: readonly (readonly [JobSection, string])[] = [
  ['mine', t.mine],
  ['past', t.promisedPast],
  ['ready', t.ready],
  ['answer', t.waiting],
]

/** Rows of a section before the rest is left to the list of jobs, so that Today stays within two screens. */
const MOST_ROWS = 4

export function Today() {
  const old = lastSyncAge()
  return (
    <ShopPage
      variant="wide"
      title={format.value.longDay(today())}
      subtitle={old && <p>{en.app.stale(old)}</p>}
      badge={permissions.value.has('clock') && <ClockedToday />}
    >
      <UpdateNotice />
      {syncSummary.value.complete && permissions.value.has('edit_shop') && <SetUp />}
      <Columns
        first={
          <>
            <Clock jobId={null} />
            <OwnRuns />
            <SharedWaiting />
            {(shopSession.value?.drafts.value.size ?? 0) > 0 && <Unfinished />}
            <Answers />
            <FollowUpsDue />
          </>
        }
        second={
          <>
            <JobSections />
            {permissions.value.has('plan_runs') && <Office />}
          </>
        }
      />
    </ShopPage>
  )
}

function JobSections() {
  const followed = new Set(followUpsHere().map(({ job_id }) => job_id))
  const jobs = openJobs.value.filter(({ id }) => !followed.has(id))
  const now = today()
  if (!openJobs.value.length)
    return (
      <List
        items={syncSummary.value.ready ? jobs : undefined}
        keyOf={(job) => job.id}
        empty={t.nothing}
        emptyHint={t.nothingHint}
      >
        {() => null}
      </List>
    )
  const parts = SECTIONS.map(
    ([part, title]) => [part, title, jobs.filter((job) => jobSection(job, now) === part)] as const,
  )
  const others = parts.reduce((sum, [, , rows]) => sum + Math.max(0, rows.length - MOST_ROWS), 0)
  return (
    <>
      {parts.map(
        ([part, title, rows]) =>
          rows.length > 0 && <JobList key={part} part={part} title={title} rows={rows} />,
      )}
      {others > 0 && <ListItem title={t.others(others)} value="→" to={{ at: 'jobs' }} />}
    </>
  )
}

function JobList({ part, title, rows }: { part: JobSection; title: string; rows: readonly Job[] }) {
  return (
    <Section title={title} end={rows.length}>
      <List items={rows.slice(0, MOST_ROWS)} keyOf={(job) => job.id} empty="">
        {(job) => <ShortJobRow job={job} why={whyListed(job, part)} />}
      </List>
    </Section>
  )
}
