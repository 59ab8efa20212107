import type { PlanAnswer } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { stop } from '../../../store/dispatch'
import { Caution, Part } from '../../components/Part'
import { Row } from '../../components/Rows'
import { figures } from '../../shopFigures'
import { machineName } from '../names'
import { aboutStop, rigName } from './about'

const its = en.dispatch.plan

/** A plan before it is taken: its runs, what is left out and why, how good it is known to be. */
export function Answer({ answer }: { answer: PlanAnswer }) {
  const { time, weekday } = figures.value
  const none = answer.runs.length === 0
  const told = [
    ...(none ? [its.nothing] : []),
    ...(answer.proven && !none ? [its.proven] : []),
    ...(answer.complete ? [] : [its.partial]),
    its.roads[answer.roads],
    ...answer.words,
  ]
  return (
    <>
      <Part title={its.answer}>
        <p class="lines">{told.join('\n')}</p>
      </Part>
      {answer.runs.map((run) => (
        <Part key={run.run_id} title={its.run(rigName(run.rig_id), weekday(run.day))}>
          <p class="lines">{en.dispatch.run.times(time(run.leaves_at), time(run.home_at))}</p>
          {run.stops.map(({ stop_id, arrives_from, arrives_to }, at) => {
            const row = stop(stop_id)
            const about = row && aboutStop(row)
            return (
              <div key={stop_id}>
                <Row
                  to={{ at: 'stop', id: stop_id }}
                  lead={its.stop(at + 1, about?.name ?? en.app.noName)}
                  figure={row && en.dispatch.kinds[row.kind]}
                  also={en.app.joined([
                    en.dispatch.between(time(arrives_from), time(arrives_to)),
                    machineName(about?.machine),
                  ])}
                />
                {run.cautions
                  .filter((caution) => caution.stop_id === stop_id)
                  .map(({ code, words }) => (
                    <Caution key={code} words={words} />
                  ))}
              </div>
            )
          })}
          {run.cautions
            .filter(({ stop_id }) => stop_id === null)
            .map(({ code, words }, at) => (
              <Caution key={`${code}${at}`} words={words} />
            ))}
        </Part>
      ))}
      {answer.left_out.length > 0 && (
        <Part title={its.leftOut}>
          {answer.left_out.map(({ stop_id, words }) => {
            const row = stop(stop_id)
            return (
              <Row
                key={stop_id}
                to={{ at: 'stop', id: stop_id }}
                lead={row ? aboutStop(row).name : en.app.noName}
                also={words}
              />
            )
          })}
        </Part>
      )}
    </>
  )
}
