import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { openJobs } from '../../../store/jobs'
import { syncSummary } from '../../../store/queue/queue'
import { shopSession } from '../../../store/session/shopSession'
import { shop } from '../../../store/shop'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List } from '../../components/List'
import { Section } from '../../components/Section'
import { OpenQuestions } from '../../features/approval/ApprovalRequests'
import { Clock } from '../../features/clock/Clock'
import { TodayRuns } from '../../features/dispatch/TodayRuns'
import { JobRow } from '../../features/jobs/JobRow'
import { FollowUpsDue } from '../../features/messages/FollowUpsDue'
import { UpdateNotice } from '../../features/update/UpdateNotice'
import { lazy } from '../../lazy'
import { type MenuRouteName, menuRoutes } from '../../routeAccess'
import { ShopPage } from '../../ShopPage'
import { format, lastSyncAge, today } from '../../shopFormat'

const Unfinished = lazy(() =>
  import('../../features/drafts/UnfinishedForms').then((file) => file.UnfinishedForms),
)

/** Each job is listed in the first section that fits. */
function sectionOf(job: Job, now: string): 'past' | 'answer' | 'ready' | 'hand' {
  if (job.promised_on && job.promised_on < now && job.stage !== 'ready') return 'past'
  if (job.waits_on.includes('approval')) return 'answer'
  return job.stage === 'ready' ? 'ready' : 'hand'
}

const PARTS = [
  ['past', en.today.promisedPast],
  ['answer', en.today.waiting],
  ['ready', en.today.ready],
  ['hand', en.today.working],
] as const

const KEYS: Record<MenuRouteName<'today'>, string> = { find: en.today.find, settings: en.app.settings }

export function Today() {
  const now = today()
  const old = lastSyncAge()
  return (
    <ShopPage
      variant="today"
      overline={shop.value?.name ?? en.app.name}
      title={format.value.longDay(now)}
      subtitle={old && <p>{en.app.stale(old)}</p>}
      dock={
        <>
          <ButtonRow>
            {menuRoutes('today').map((at) => (
              <Button key={at} label={KEYS[at]} to={{ at }} />
            ))}
          </ButtonRow>
          <PrimaryButton label={en.today.newJob} hint={en.today.newJobHint} to={{ at: 'new-job' }} />
        </>
      }
    >
      <UpdateNotice />
      <TodayRuns />
      <Clock jobId={null} />
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
        const jobs = openJobs.value.filter((job) => sectionOf(job, now) === part)
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
