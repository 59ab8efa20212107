import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { openJobs } from '../../../store/jobs'
import { syncSummary } from '../../../store/queue/queue'
import { Button, ButtonRow } from '../../components/Button'
import { List } from '../../components/List'
import { JobRow } from '../../features/jobs/JobRow'
import { isPastDue } from '../../features/jobs/jobSections'
import { ShopPage } from '../../ShopPage'
import { today } from '../../shopFormat'

const t = en.jobs

type View = keyof typeof t.views

const VIEWS: Record<View, (job: Job, now: string) => boolean> = {
  open: () => true,
  late: isPastDue,
  waiting: (job) => job.waits_on.length > 0,
  ready: (job) => job.stage === 'ready',
}

const isView = (name: string): name is View => name in VIEWS

/** Every open job, by the day it is promised for. */
export function Jobs({ view = 'open' }: { view?: string }) {
  const chosen = isView(view) ? view : 'open'
  const now = today()
  const jobsIn = (name: View) => openJobs.value.filter((job) => VIEWS[name](job, now))
  return (
    <ShopPage title={t.title}>
      <ButtonRow>
        {(Object.keys(VIEWS) as View[]).map((name) => (
          <Button
            key={name}
            label={en.today.count(t.views[name], jobsIn(name).length)}
            to={{ at: 'jobs', view: name }}
            current={name === chosen}
          />
        ))}
      </ButtonRow>
      <List
        items={openJobs.value.length || syncSummary.value.ready ? jobsIn(chosen) : undefined}
        keyOf={(job) => job.id}
        empty={chosen === 'open' ? en.today.nothing : t.none[chosen]}
        {...(chosen === 'open' && { emptyHint: en.today.nothingHint })}
      >
        {(job) => <JobRow job={job} />}
      </List>
    </ShopPage>
  )
}
