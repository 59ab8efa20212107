import type { PlanAnswer } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { stop } from '../../../store/dispatch'
import { ListItem } from '../../components/List'
import { Caution, Section } from '../../components/Section'
import { aboutStop, arrivalText, promisedText, rigName, stayText } from '../../features/dispatch/stopText'
import { machineName } from '../../names'
import { format } from '../../shopFormat'

const t = en.dispatch.plan

/** A plan before it is applied: its runs, what is left out and why, and its optimality bound. */
export function PlanResult({ answer }: { answer: PlanAnswer }) {
  const { time, weekday } = format.value
  const none = answer.runs.length === 0
  const lines = [
    ...(none ? [t.nothing] : []),
    ...(answer.proven && !none ? [t.proven] : []),
    ...(answer.complete ? [] : [t.partial]),
    t.roads[answer.roads],
    ...answer.remarks.map(({ words }) => words),
  ]
  return (
    <>
      <Section title={t.answer}>
        <p class="multiline">{lines.join('\n')}</p>
      </Section>
      {answer.runs.map((run) => (
        <Section key={run.run_id} title={t.run(rigName(run.rig_id), weekday(run.day))}>
          <p class="multiline">{en.dispatch.run.times(time(run.leaves_at), time(run.home_at))}</p>
          {run.stops.map(({ stop_id, ...times }, at) => {
            const row = stop(stop_id)
            const about = row && aboutStop(row)
            return (
              <div key={stop_id}>
                <ListItem
                  to={{ at: 'stop', id: stop_id }}
                  title={t.stop(at + 1, about?.name ?? en.app.noName)}
                  value={row && en.dispatch.kinds[row.kind]}
                  details={en.app.joined([
                    row && promisedText(row),
                    arrivalText(times),
                    stayText(times),
                    machineName(about?.machine),
                  ])}
                />
                {run.cautions
                  .filter((caution) => caution.stop_id === stop_id)
                  .map(({ code, words }) => (
                    <Caution key={code} text={words} />
                  ))}
              </div>
            )
          })}
          {run.cautions
            .filter(({ stop_id }) => stop_id === null)
            .map(({ code, words }, at) => (
              <Caution key={`${code}${at}`} text={words} />
            ))}
        </Section>
      ))}
      {answer.left_out.length > 0 && <LeftOut rows={answer.left_out} />}
    </>
  )
}

/** Stops that no run serves, with the reason. */
function LeftOut({ rows }: { rows: PlanAnswer['left_out'] }) {
  return (
    <Section title={t.leftOut}>
      {rows.map(({ stop_id, words }) => {
        const row = stop(stop_id)
        return (
          <ListItem
            key={stop_id}
            to={{ at: 'stop', id: stop_id }}
            title={row ? aboutStop(row).name : en.app.noName}
            details={words}
          />
        )
      })}
    </Section>
  )
}
