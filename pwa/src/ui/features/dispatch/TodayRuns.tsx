import type { Run } from '../../../domain/contract'
import { isPendingStop } from '../../../domain/dispatch/runs'
import { daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words'
import { nextStop, runsOf, runsOn, runsToDrive, stopsOfRun } from '../../../store/dispatch'
import { permissions, session } from '../../../store/session/session'
import { members } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { machineName } from '../../names'
import { today } from '../../shopFormat'
import { aboutStop, driveText, placeText, promisedText, rigName, stayText, stopLine } from './stopText'

const t = en.dispatch.today

/** The member's own run with its next stop in large letters. */
export function OwnRuns() {
  return runsToDrive(session.value.member?.id, today()).map((run) => <OwnRun key={run.id} run={run} />)
}

/** The other runs of today and tomorrow: all of them for planners, else the member's own. */
export function RunLists() {
  const now = today()
  const mine = runsToDrive(session.value.member?.id, now)
  const plans = permissions.value.has('plan_runs')
  const days = [
    [t.title, plans ? runsOn(now) : []],
    [t.tomorrow, plans ? runsOn(daysAfter(now, 1)) : runsOf(session.value.member?.id, daysAfter(now, 1))],
  ] as const
  const isBelow = (run: Run) => !mine.some(({ id }) => id === run.id)
  return (
    <>
      {days.map(
        ([title, runs]) =>
          runs.some(isBelow) && (
            <Section key={title} title={title}>
              <List items={runs.filter(isBelow)} keyOf={(run) => run.id} empty="">
                {(run) => <RunRow run={run} />}
              </List>
            </Section>
          ),
      )}
    </>
  )
}

/** The member's own run, with the next stop in letters readable from the driver's seat. */
function OwnRun({ run }: { run: Run }) {
  const next = nextStop(run.id)
  const stops = stopsOfRun(run.id)
  const about = next && aboutStop(next)
  const around = next && en.app.joined([promisedText(next), stayText(next), driveText(next)])
  return (
    <section class="next-stop" aria-label={en.app.joined([t.title, rigName(run.rig_id)])}>
      {next && about ? (
        <>
          <h2>
            {next.state === 'arrived' ? t.here : t.next}
            <span> {t.position(stops.indexOf(next) + 1, stops.length)}</span>
          </h2>
          <p class="customer-name">{about.name}</p>
          <p class="time">{stopLine(next)}</p>
          {around && <p>{around}</p>}
          <p>{machineName(about.machine)}</p>
          <p class="free-text">{placeText(next)}</p>
          {next.from_rig_id === null && about.site?.access_notes && (
            <p class="access-notes">{about.site.access_notes}</p>
          )}
          <ButtonRow>
            <Button label={en.dispatch.road.goOn} to={{ at: 'stop', id: next.id }} />
            <Button label={t.open} to={{ at: 'run', id: run.id }} />
          </ButtonRow>
        </>
      ) : (
        <>
          <p class="time">{t.allDone}</p>
          <ButtonRow>
            <Button label={t.open} to={{ at: 'run', id: run.id }} />
          </ButtonRow>
        </>
      )}
    </section>
  )
}

export function RunRow({ run }: { run: Run }) {
  const stops = stopsOfRun(run.id)
  const done = stops.filter((row) => !isPendingStop(row.state) && row.state !== 'arrived').length
  const driver = members.value.find(({ id }) => id === run.driver_id)?.name ?? t.nobody
  return (
    <ListItem
      to={{ at: 'run', id: run.id }}
      title={rigName(run.rig_id)}
      value={en.dispatch.runStates[run.state]}
      details={en.app.joined([driver, t.row(stops.length, done)])}
    />
  )
}
