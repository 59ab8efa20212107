import type { Job } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { openJobs } from '../../../store/jobs'
import { status } from '../../../store/queue'
import { shop } from '../../../store/shop'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Rows } from '../../components/Rows'
import { age, figures, today } from '../../shopFigures'
import { OpenQuestions } from '../asking/Requests'
import { Clock } from '../clock/Clock'
import { TodayRuns } from '../dispatch/TodayRuns'
import { JobRow } from '../jobs/JobRow'
import { Due } from '../messages/Due'
import { Sheet } from '../Sheet'
import { Update } from '../settings/Update'

/** Each job stands in the first part that fits it. */
function partOf(job: Job, now: string): 'past' | 'answer' | 'ready' | 'hand' {
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

export function Today() {
  const now = today()
  const old = age()
  return (
    <Sheet
      kind="today"
      over={shop.value?.name ?? en.app.name}
      title={figures.value.longDay(now)}
      under={old && <p>{en.app.stale(old)}</p>}
      dock={
        <>
          <Keys>
            <Key words={en.today.find} to={{ at: 'find' }} />
            <Key words={en.app.settings} to={{ at: 'settings' }} />
          </Keys>
          <Slab words={en.today.newJob} hint={en.today.newJobHint} to={{ at: 'new-job' }} />
        </>
      }
    >
      <Update />
      <TodayRuns />
      <Clock jobId={null} />
      <OpenQuestions />
      <Due />
      {!openJobs.value.length && (
        <Rows
          items={status.value.ready ? openJobs.value : undefined}
          keyOf={(job) => job.id}
          empty={en.today.nothing}
          emptyHint={en.today.nothingHint}
        >
          {() => null}
        </Rows>
      )}
      {PARTS.map(([part, title]) => {
        const jobs = openJobs.value.filter((job) => partOf(job, now) === part)
        return (
          jobs.length > 0 && (
            <Part key={part} title={en.today.count(title, jobs.length)}>
              <Rows items={jobs} keyOf={(job) => job.id} empty={en.today.nothing}>
                {(job) => <JobRow job={job} />}
              </Rows>
            </Part>
          )
        )
      })}
    </Sheet>
  )
}
