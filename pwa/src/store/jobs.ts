import { computed } from '@preact/signals'
import type { Job, Stage } from '../domain/contract'
import { type Changes, type NewRowFields, sendAdd, sendEdit } from './queue/commands'
import { enqueue } from './queue/outbox'
import { allOf, byAge, byId, compare, ownedBy } from './rows/selectors'

/** Whether a job is known and not over. */
export const isOpen = (row: Job | undefined): boolean => row !== undefined && !FINISHED_STAGES.has(row.stage)

const FINISHED_STAGES: ReadonlySet<Stage> = new Set(['returned', 'closed', 'cancelled'])

/** Whether a job is over: returned, closed or cancelled. */
export const isFinished = ({ stage }: Pick<Job, 'stage'>): boolean => FINISHED_STAGES.has(stage)

/** Open jobs: those that lose money first, then the promised ones by day, then the others by age. */
export const openJobs = computed(() =>
  allOf('job')
    .filter((row) => !isFinished(row))
    .sort(
      (a, b) =>
        Number(b.urgency === 'down') - Number(a.urgency === 'down') ||
        compare(a.promised_on ?? '9999', b.promised_on ?? '9999') ||
        byAge(a, b),
    ),
)

export const job = (id: string) => byId('job', id)
export const jobsOfCustomer = (customer_id: string) =>
  ownedBy('job', 'customer_id', customer_id).sort(byAge).reverse()
export const jobsOfMachine = (machine_id: string) =>
  ownedBy('job', 'machine_id', machine_id).sort(byAge).reverse()
export const complaintsOf = (job_id: string) => ownedBy('complaint', 'job_id', job_id).sort(byAge)

export const editJob = (seen: Job, wanted: Changes<'edit_job'>) => sendEdit('edit_job', seen, wanted)

export async function moveJob(id: string, stage: Stage): Promise<void> {
  await enqueue('move_job', { id, stage })
}

export const addComplaint = (fields: NewRowFields<'add_complaint'>) => sendAdd('add_complaint', fields)
