import type { Run } from '../../../domain/rows'
import { isAhead } from '../../../domain/runs'
import { daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words'
import { nextStop, runsOf, runsOn, runsToDrive, stopsOfRun, stopsWaiting } from '../../../store/dispatch'
import { permissions, session } from '../../../store/session'
import { members } from '../../../store/shop'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { today } from '../../shopFigures'
import { machineName } from '../names'
import { aboutStop, driveWords, placeWords, rigName, stopLine, toldWords } from './about'

const its = en.dispatch.today

/** On today's screen: one's own run with its next stop large; for whoever plans, every run of today and tomorrow. */
export function TodayRuns() {
  const now = today()
  const mine = runsToDrive(session.value.member?.id, now)
  const plans = permissions.value.has('plan_runs')
  const waiting = stopsWaiting.value.length
  const days = [
    [its.title, plans ? runsOn(now) : []],
    [its.tomorrow, plans ? runsOn(daysAfter(now, 1)) : runsOf(session.value.member?.id, daysAfter(now, 1))],
  ] as const
  const isBelow = (run: Run) => !mine.some(({ id }) => id === run.id)
  return (
    <>
      {mine.map((run) => (
        <Own key={run.id} run={run} />
      ))}
      {days.map(
        ([title, runs]) =>
          runs.some(isBelow) && (
            <Part key={title} title={title}>
              <Rows items={runs.filter(isBelow)} keyOf={(run) => run.id} empty="">
                {(run) => <RunRow run={run} />}
              </Rows>
            </Part>
          ),
      )}
      {permissions.value.has('drive_runs') && (
        <Keys tall>
          {plans && (
            <Key
              wide
              words={its.plan}
              hint={waiting > 0 ? its.waiting(waiting) : undefined}
              to={{ at: 'plan' }}
            />
          )}
          <Key wide words={its.urgent} to={{ at: 'urgent' }} />
        </Keys>
      )}
    </>
  )
}

/** The run one drives oneself, with where to go next in letters one reads from the wheel. */
function Own({ run }: { run: Run }) {
  const next = nextStop(run.id)
  const about = next && aboutStop(next)
  const around = next && en.app.joined([toldWords(next), driveWords(next)])
  return (
    <section class="next" aria-label={en.app.joined([its.title, rigName(run.rig_id)])}>
      {next && about ? (
        <>
          <p class="over">{next.state === 'arrived' ? its.here : its.next}</p>
          <p class="who">{about.name}</p>
          <p class="when">{stopLine(next)}</p>
          {around && <p>{around}</p>}
          <p>{machineName(about.machine)}</p>
          <p class="said">{placeWords(next)}</p>
          {next.from_rig_id === null && about.site?.access_notes && (
            <p class="access">{about.site.access_notes}</p>
          )}
          <Slab words={en.dispatch.run.goOn} hint={about.name} to={{ at: 'stop', id: next.id }} />
        </>
      ) : (
        <p class="when">{its.allDone}</p>
      )}
      <Keys tall>
        <Key wide words={its.open} hint={rigName(run.rig_id)} to={{ at: 'run', id: run.id }} />
      </Keys>
    </section>
  )
}

export function RunRow({ run }: { run: Run }) {
  const stops = stopsOfRun(run.id)
  const done = stops.filter((row) => !isAhead(row.state) && row.state !== 'arrived').length
  const driver = members.value.find(({ id }) => id === run.driver_id)?.name ?? its.nobody
  return (
    <Row
      to={{ at: 'run', id: run.id }}
      lead={rigName(run.rig_id)}
      figure={en.dispatch.runStates[run.state]}
      also={en.app.joined([driver, its.row(stops.length, done)])}
    />
  )
}
