import type { Run, Stop } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { daysBetween } from '../../../domain/time'
import { en } from '../../../domain/words'
import { tables } from '../../../domain/words/desk'
import { run } from '../../../store/dispatch'
import { allOf, follow } from '../../../store/rows/selectors'
import type { TableOf } from '../../desk/table'
import { aboutStop, placeText, rigName, stopLine } from '../../features/dispatch/stopText'
import { TablePlace } from '../../features/tables/TablePlace'
import { machineName } from '../../names'
import { today } from '../../shopFormat'

const t = tables.stops
const STATES = Object.keys(en.dispatch.states)
const ENDED: ReadonlySet<Stop['state']> = new Set(['left', 'failed', 'dropped'])

interface StopLine {
  readonly stop: Stop
  readonly run: Run | undefined
  readonly customer: string
  readonly job: string
  readonly machine: string
  readonly place: string
}

function stopLines(): StopLine[] {
  follow('site', 'rig')
  return allOf('stop').map((stop) => {
    const { job, machine, name } = aboutStop(stop)
    return {
      stop,
      run: stop.run_id === null ? undefined : run(stop.run_id),
      customer: name,
      job: job ? shownName(job) : '',
      machine: machineName(machine),
      place: placeText(stop).split('\n').filter(Boolean).join(', '),
    }
  })
}

const daysLate = ({ stop: { state, promised_on } }: StopLine) =>
  promised_on && !ENDED.has(state) ? Math.max(0, daysBetween(promised_on, today())) : 0

const STOPS: TableOf<StopLine> = {
  key: 'stops',
  title: en.dispatch.run.stops,
  rows: stopLines,
  idOf: ({ stop }) => stop.id,
  to: ({ stop }) => ({ at: 'stop', id: stop.id }),
  columns: [
    { key: 'kind', label: t.what, value: ({ stop }) => en.dispatch.kinds[stop.kind], width: 7.5 },
    { key: 'customer', label: tables.jobs.customer, value: (line) => line.customer, width: 10.5, bold: true },
    { key: 'place', label: t.place, value: (line) => line.place, width: 10, spare: true },
    {
      key: 'state',
      label: t.state,
      value: ({ stop }) => en.dispatch.states[stop.state],
      rank: ({ stop }) => STATES.indexOf(stop.state),
      width: 9.4,
    },
    { key: 'day', label: t.day, kind: 'day', value: (line) => line.run?.day ?? null, width: 6.6 },
    { key: 'arrives', label: t.arrives, kind: 'time', value: ({ stop }) => stop.arrives_at, width: 6.9 },
    {
      key: 'rig',
      label: t.rig,
      value: (line) => (line.run ? rigName(line.run.rig_id) : ''),
      width: 7,
      hidden: true,
    },
    {
      key: 'promised',
      label: t.promised,
      kind: 'day',
      value: ({ stop }) => stop.promised_on,
      note: (line) => (daysLate(line) ? tables.daysLate(daysLate(line)) : ''),
      width: 11,
      hidden: true,
    },
    {
      key: 'from',
      label: t.from,
      kind: 'day',
      value: ({ stop }) => stop.earliest_on,
      width: 7,
      hidden: true,
    },
    { key: 'job', label: tables.jobs.job, value: (line) => line.job, width: 5.3, spare: true },
    { key: 'machine', label: tables.jobs.machine, value: (line) => line.machine, width: 11, hidden: true },
    { key: 'notes', label: tables.jobs.notes, value: ({ stop }) => stop.notes, width: 14, hidden: true },
  ],
  views: [
    { key: 'open', label: tables.open, has: ({ stop }) => !ENDED.has(stop.state) },
    { key: 'unplanned', label: t.unplanned, has: ({ stop }) => stop.state === 'asked' },
    { key: 'today', label: t.today, has: (line) => line.run?.day === today() },
    { key: 'late', label: tables.jobs.late, has: (line) => daysLate(line) > 0 },
    { key: 'failed', label: t.failed, has: ({ stop }) => stop.state === 'failed' },
    { key: 'all', label: tables.all, has: () => true },
  ],
  sort: { key: 'day' },
  onPhone: ({ stop, customer: title }) => ({ title, details: stopLine(stop) }),
}

/** All stops. */
export const Stops = () => <TablePlace table={STOPS} />
