import type { Job, Stop } from '../../../domain/rows'
import { isAhead } from '../../../domain/runs'
import { en } from '../../../domain/words'
import { run, stopsOfJob } from '../../../store/dispatch'
import { permissions } from '../../../store/session'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { figures } from '../../shopFigures'
import { expectedWords, rigName } from './about'

const its = en.dispatch.job
const KINDS = [
  ['pickup', its.fetch],
  ['return', its.bring],
  ['visit', its.visit],
] as const

/** On a job's screen: what is to be driven for it, and how to ask for more. */
export function JobStops({ job }: { job: Job }) {
  if (!permissions.value.has('drive_runs')) return null
  const stops = stopsOfJob(job.id).filter((row) => row.state !== 'dropped')
  const asked = new Set(
    stops.filter((row) => isAhead(row.state) || row.state === 'arrived').map((row) => row.kind),
  )
  return (
    <Part title={its.title}>
      <Rows items={stops} keyOf={(row) => row.id} empty={its.none}>
        {(row) => (
          <Row
            to={{ at: 'stop', id: row.id }}
            lead={en.dispatch.kinds[row.kind]}
            figure={en.dispatch.states[row.state]}
            also={whenWords(row)}
          />
        )}
      </Rows>
      <Keys>
        {KINDS.filter(([kind]) => !asked.has(kind)).map(([kind, words]) => (
          <Key key={kind} words={words} to={{ at: 'job-stop', id: job.id, kind }} />
        ))}
      </Keys>
    </Part>
  )
}

function whenWords(row: Stop): string {
  if (row.state === 'failed') return its.failed(en.dispatch.failures[row.failure || 'other'])
  const on = row.run_id === null ? undefined : run(row.run_id)
  return en.app.joined([
    on && its.on(figures.value.weekday(on.day), rigName(on.rig_id)),
    isAhead(row.state) ? expectedWords(row) : undefined,
    row.wait_until && isAhead(row.state)
      ? `${en.dispatch.stop.wait} ${figures.value.weekday(row.wait_until)}`
      : undefined,
  ])
}
