import { computed } from '@preact/signals'
import type { JobStopKind, LegRow, Run, Site, Stop, Supplier, Yard } from '../domain/contract'
import { isPendingStop } from '../domain/dispatch/runs'
import { type Position, positionOf } from '../domain/geo/places'
import type { Day } from '../domain/time'
import { allOf, byAge, byId, compare, ownedBy } from './rows/selectors'

export const run = (id: string) => byId('run', id)
export const stop = (id: string) => byId('stop', id)
export const rig = (id: string) => byId('rig', id)
export const plan = (id: string) => byId('plan_request', id)

/** The yard, where runs begin and end; undefined until it is set up. */
export const yard = computed((): Yard | undefined => allOf('yard')[0])

/** Rigs that are not archived, by name. */
export const rigs = computed(() =>
  allOf('rig')
    .filter((row) => row.active)
    .sort((a, b) => compare(a.name, b.name) || compare(a.id, b.id)),
)

/** Runs of a day that are not cancelled, by rig. */
export const runsOn = (day: Day): Run[] =>
  ownedBy('run', 'day', day)
    .filter((row) => row.state !== 'cancelled')
    .sort(
      (a, b) => compare(byId('rig', a.rig_id)?.name ?? '', byId('rig', b.rig_id)?.name ?? '') || byAge(a, b),
    )

/** The destination: where the machine is now, else the job's site. Twin: `Stop.stands_at` of the server. */
export const stopPosition = (row: Stop): Position | null =>
  row.lat !== null || row.from_rig_id !== null ? positionOf(row) : positionOf(goesTo(row))

/** A stop for the machine of a job. The others fetch parts at a supplier. */
export type JobStop = Stop & { readonly kind: JobStopKind; readonly job_id: string; readonly site_id: string }

export const isJobStop = (row: Stop): row is JobStop => row.job_id !== null

/** The site of its job, or the supplier. */
const goesTo = ({ site_id, supplier_id }: Stop): Site | Supplier | undefined =>
  supplier_id ? byId('supplier', supplier_id) : byId('site', site_id ?? '')

/** The leg to a stop by the last plan. */
export const legToStop = (row: Stop): LegRow | undefined =>
  row.run_id === null ? undefined : run(row.run_id)?.legs.find(({ stop_id }) => stop_id === row.id)

/** The stops of a run in order. */
export const stopsOfRun = (run_id: string): Stop[] =>
  ownedBy('stop', 'run_id', run_id).sort(
    (a, b) => a.trip - b.trip || a.position - b.position || compare(a.id, b.id),
  )

export const stopsOfJob = (job_id: string): Stop[] => ownedBy('stop', 'job_id', job_id).sort(byAge)

/** Stops without a run, the urgent and then the promised ones first. */
export const stopsWaiting = computed((): Stop[] =>
  allOf('stop')
    .filter((row) => row.state === 'asked')
    .sort(
      (a, b) =>
        URGENCY[a.priority] - URGENCY[b.priority] ||
        compare(a.promised_on ?? '9999', b.promised_on ?? '9999') ||
        byAge(a, b),
    ),
)
const URGENCY = { first: 0, soon: 1, usual: 2 } as const

/** The first stop of a run that is not done. */
export const nextStop = (run_id: string): Stop | undefined =>
  stopsOfRun(run_id).find((row) => row.state === 'arrived') ??
  stopsOfRun(run_id).find((row) => isPendingStop(row.state))

export const handOversOf = (stop_id: string) => ownedBy('hand_over', 'stop_id', stop_id).sort(byAge)

/** The latest plan request that includes a day. */
export const latestPlan = (day: Day) =>
  allOf('plan_request')
    .filter((row) => row.days.includes(day))
    .sort(byAge)
    .at(-1)

/** The member's runs on a day. */
export const runsOf = (member_id: string | undefined, day: Day): Run[] =>
  member_id === undefined ? [] : runsOn(day).filter((row) => row.driver_id === member_id)

/** The member's open runs: those of the day, and one of another day still under way. */
export const runsToDrive = (member_id: string | undefined, day: Day): Run[] => [
  ...allOf('run').filter(
    (row) =>
      row.driver_id !== null && row.driver_id === member_id && row.state === 'driving' && row.day !== day,
  ),
  ...runsOf(member_id, day).filter((row) => row.state !== 'done'),
]
