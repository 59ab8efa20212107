import type { Run, TimeEntry } from '../../../domain/contract'
import { isRunning } from '../../../domain/labor/clock'
import { dayIn } from '../../../domain/time'
import { en } from '../../../domain/words'
import { waits as t } from '../../../domain/words/waits'
import { runsOn } from '../../../store/dispatch'
import { openJobs } from '../../../store/jobs'
import { allOf } from '../../../store/rows/selectors'
import { session } from '../../../store/session/session'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { memberName } from '../../names'
import { format, today, zone } from '../../shopFormat'
import { useNow } from '../../useNow'
import { minutesOf, workText } from '../clock/timeEntryText'
import { RunRow } from '../dispatch/TodayRuns'
import { daysWaiting } from './waits'

/** On the phone of who plans runs: who else is on the clock, and today's runs that others drive; nothing where there is none. */
export function OfficeToday() {
  const me = session.value.member?.id
  const entries = running().filter(({ member_id }) => member_id !== me)
  const runs = runsOn(today()).filter(({ driver_id }) => driver_id !== me)
  return (
    <>
      {entries.length > 0 && <OnTheClock entries={entries} />}
      {runs.length > 0 && <RunsToday runs={runs} />}
    </>
  )
}

const running = () => allOf('time_entry').filter(isRunning)

/** Who is clocked on what. */
export function OnTheClock({ entries = running() }: { entries?: readonly TimeEntry[] }) {
  const now = useNow()
  return (
    <Section title={t.clocks} end={entries.length}>
      <List items={entries} keyOf={({ id }) => id} empty={t.noClocks}>
        {(entry) => (
          <ListItem
            title={memberName(entry.member_id)}
            value={en.clockFace.running(minutesOf(entry, now))}
            details={workText(entry)}
            {...(entry.job_id !== null && { to: { at: 'job', id: entry.job_id } })}
          />
        )}
      </List>
    </Section>
  )
}

/** Today's runs with their state. */
export function RunsToday({ runs = runsOn(today()) }: { runs?: readonly Run[] }) {
  return (
    <Section title={t.runs} end={runs.length}>
      <List items={runs} keyOf={({ id }) => id} empty={t.noRuns}>
        {(run) => <RunRow run={run} />}
      </List>
    </Section>
  )
}

/** The sum of the quotes on open jobs that customers have not answered, how many, and for how long; its quotes are among what waits. */
export function MoneyWaiting() {
  const open = new Set(openJobs.value.map(({ id }) => id))
  const offered = allOf('quote').filter(({ state, job_id }) => state === 'offered' && open.has(job_id))
  const sum = offered.reduce((all, { totals }) => all + (totals?.total_minor ?? 0), 0)
  const [oldest] = offered.map(({ offered_at, changed_at }) => offered_at ?? changed_at).sort()
  const days =
    oldest === undefined ? null : daysWaiting({ since: dayIn(zone.value, Date.parse(oldest)) }, today())
  return (
    <dl class="figures">
      <div>
        <dt>{t.money}</dt>
        <dd>{format.value.money(sum)}</dd>
      </div>
      <div>
        <dt>{t.quotes(offered.length)}</dt>
        <dd>{days !== null && t.oldest(t.days(days))}</dd>
      </div>
    </dl>
  )
}
