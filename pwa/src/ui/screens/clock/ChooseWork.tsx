import { useSignal } from '@preact/signals'
import type { Job } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { job, openJobs } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { search } from '../../../store/search/search'
import { plainWork, type RecentWork, recentWork, suggestedWork } from '../../../store/timeEntries'
import { TextField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { workText } from '../../features/clock/timeEntryText'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { begin, WorkKinds } from './WorkKinds'

const t = en.clock

const MOST_RECENT = 6

/** Starts a clock on what was last worked on, on another job, or on none. */
export function ShopWork() {
  const query = useSignal('')
  const asked = query.value.trim()
  const found = asked ? new Set(search(asked).jobs.map(({ id }) => id)) : null
  const isFound = (id: string | null) => !found || (id !== null && found.has(id))
  const recent = recentWork().filter(({ work }) => isFound(work.job_id))
  const shown = recent.slice(0, MOST_RECENT)
  const listed = new Set(shown.map(({ work }) => work.job_id))
  const others = openJobs.value.filter(({ id }) => isFound(id) && !listed.has(id))
  return (
    <ShopPage overline={t.title} title={t.choose} back={{ at: 'today' }}>
      <search>
        <TextField
          type="search"
          label={t.search}
          value={query.value}
          autocapitalize="off"
          enterKey="search"
          onValueChange={(typed) => {
            query.value = typed
          }}
        />
      </search>
      {shown.length > 0 && (
        <Section title={t.recent} hint={t.recentHint}>
          <List items={shown} keyOf={({ key }) => key} empty="">
            {(each) => <RecentRow {...each} />}
          </List>
        </Section>
      )}
      {(others.length > 0 || !shown.length) && (
        <Section title={shown.length ? t.pickJob : t.openJobs}>
          <List items={others} keyOf={({ id }) => id} empty={asked ? t.noneFound : en.today.nothing}>
            {(each) => <JobToStart row={each} />}
          </List>
        </Section>
      )}
      {!asked && (
        <Section title={t.noJob}>
          <WorkKinds jobId={null} />
        </Section>
      )}
    </ShopPage>
  )
}

/** "Repair, carburetor clean" of a customer's machine, and when it was last clocked. */
function RecentRow({ work, started_at }: RecentWork) {
  const row = work.job_id === null ? undefined : job(work.job_id)
  return (
    <ListItem
      title={row ? customer(row.customer_id)?.name || en.app.noName : workText(work)}
      value={row && <Serial text={shownName(row)} />}
      details={en.app.joined([
        row ? workText(work, row.id) : '',
        row ? machineName(machine(row.machine_id)) : '',
        t.lastOn(format.value.moment(started_at)),
      ])}
      onPress={() => void begin(work)}
    />
  )
}

/** A job that starts with the most likely work on it. */
function JobToStart({ row }: { row: Job }) {
  const work = suggestedWork(row.id) ?? plainWork('repair', row.id)
  return (
    <ListItem
      title={customer(row.customer_id)?.name || en.app.noName}
      value={<Serial text={shownName(row)} />}
      details={en.app.joined([workText(work, row.id), machineName(machine(row.machine_id))])}
      onPress={() => void begin(work)}
    />
  )
}
