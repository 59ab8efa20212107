import type { Job, Stop } from '../../../domain/contract'
import { isPendingStop } from '../../../domain/dispatch/runs'
import { en } from '../../../domain/words'
import { run, stopsOfJob } from '../../../store/dispatch'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { format } from '../../shopFormat'
import { arrivalText, promisedText, rigName } from './stopText'

const t = en.dispatch.job
const KINDS = [
  ['pickup', t.fetch],
  ['return', t.bring],
  ['visit', t.visit],
] as const

/** On a job's screen: its stops, and buttons to request more. */
export function JobStops({ job }: { job: Job }) {
  if (!permissions.value.has('drive_runs')) return null
  const stops = stopsOfJob(job.id).filter((row) => row.state !== 'dropped')
  const asked = new Set(
    stops.filter((row) => isPendingStop(row.state) || row.state === 'arrived').map((row) => row.kind),
  )
  const keys = (
    <ButtonRow>
      {KINDS.filter(([kind]) => !asked.has(kind)).map(([kind, words]) => (
        <Button key={kind} label={words} to={{ at: 'job-stop', id: job.id, kind }} shortcut={`job.${kind}`} />
      ))}
    </ButtonRow>
  )
  if (!stops.length) return keys
  return (
    <Section title={t.title}>
      <List items={stops} keyOf={(row) => row.id} empty="">
        {(row) => (
          <ListItem
            to={{ at: 'stop', id: row.id }}
            title={en.dispatch.kinds[row.kind]}
            value={en.dispatch.states[row.state]}
            details={whenWords(row)}
          />
        )}
      </List>
      {keys}
    </Section>
  )
}

/** Whether a job has stops to show. */
export const hasStops = (job: Job): boolean =>
  permissions.value.has('drive_runs') && stopsOfJob(job.id).some((row) => row.state !== 'dropped')

function whenWords(row: Stop): string {
  if (row.state === 'failed') return t.failed(en.dispatch.failures[row.failure || 'other'])
  const on = row.run_id === null ? undefined : run(row.run_id)
  return en.app.joined([
    on && t.on(format.value.weekday(on.day), rigName(on.rig_id)),
    isPendingStop(row.state) ? promisedText(row) || arrivalText(row) : undefined,
    row.wait_until && isPendingStop(row.state)
      ? `${en.dispatch.stop.wait} ${format.value.weekday(row.wait_until)}`
      : undefined,
  ])
}
