import { computed } from '@preact/signals'
import type { Command, Commands, FindingFields, JobFields } from '../domain/commands'
import type { Finding, Job, Stage } from '../domain/rows'
import { noteSaid } from './album'
import { wordsOf } from './attachments'
import { newId } from './clock'
import type { Sending } from './db'
import { editOf } from './editing'
import { current } from './opened'
import { enqueue, enqueueAll, mintMark } from './outbox'
import { all, byAge, compare, of, one } from './shown'

const OVER: ReadonlySet<Stage> = new Set(['returned', 'closed', 'cancelled'])

/** Jobs still in the shop's hands: the promised ones first by day, then the others by age. */
export const openJobs = computed(() =>
  all('job')
    .filter((row) => !OVER.has(row.stage))
    .sort((a, b) => compare(a.promised_on ?? '9999', b.promised_on ?? '9999') || byAge(a, b)),
)

export const job = (id: string) => one('job', id)
export const jobsOfCustomer = (customer_id: string) =>
  of('job', 'customer_id', customer_id).sort(byAge).reverse()
export const jobsOfMachine = (machine_id: string) => of('job', 'machine_id', machine_id).sort(byAge).reverse()
export const complaintsOf = (job_id: string) => of('complaint', 'job_id', job_id).sort(byAge)
export const findingsOf = (job_id: string) => of('finding', 'job_id', job_id).sort(byAge)
export const finding = (id: string) => one('finding', id)

/** What was declined on earlier visits of a job's machine and not taken up since, newest first. */
export function declinedBefore({ id, machine_id }: Job): Finding[] {
  return jobsOfMachine(machine_id)
    .filter((earlier) => earlier.id !== id)
    .flatMap((earlier) => findingsOf(earlier.id))
    .filter((row) => row.decided === 'declined' && of('finding', 'again_of_id', row.id).length === 0)
}

export async function openJob(job: Omit<Commands['open_job'], 'id' | 'mark'>): Promise<string> {
  const id = newId()
  await enqueue('open_job', { id, ...job, mark: await mintMark(current().db) })
  return id
}

/** A job as it is taken in: with an owner and a machine known already, or new ones. */
export interface Intake {
  customer: { id: string } | Omit<Commands['add_customer'], 'id'>
  machine: { id: string } | Omit<Commands['add_machine'], 'id' | 'customer_id'>
  /** Where the machine stands: a known place of the owner, or a new one. */
  site?: { id: string } | Omit<Commands['add_site'], 'id' | 'customer_id'> | undefined
  job?: Omit<Commands['open_job'], 'id' | 'mark' | 'customer_id' | 'machine_id' | 'site_id'>
  complaint?: Omit<Commands['add_complaint'], 'id' | 'job_id'>
}

/** Saves the owner, the machine, the job and the owner's words together: all of it or nothing. */
export async function takeIn({ customer, machine, site, job, complaint }: Intake): Promise<string> {
  const commands: Command[] = []
  const customer_id = 'id' in customer ? customer.id : newId()
  if (!('id' in customer)) commands.push({ name: 'add_customer', args: { id: customer_id, ...customer } })
  const machine_id = 'id' in machine ? machine.id : newId()
  if (!('id' in machine))
    commands.push({ name: 'add_machine', args: { id: machine_id, customer_id, ...machine } })
  const site_id = site && ('id' in site ? site.id : newId())
  if (site && site_id && !('id' in site))
    commands.push({ name: 'add_site', args: { id: site_id, customer_id, ...site } })
  const id = newId()
  const mark = await mintMark(current().db)
  const where = site_id === undefined ? {} : { site_id }
  commands.push({ name: 'open_job', args: { id, customer_id, machine_id, ...where, ...job, mark } })
  if (complaint) commands.push({ name: 'add_complaint', args: { id: newId(), job_id: id, ...complaint } })
  await enqueueAll(commands)
  return id
}

/** Changes the fields that differ from what the person saw. */
export async function editJob(seen: Job, wanted: Partial<Pick<Job, JobFields>>): Promise<void> {
  const edit = editOf(seen, wanted)
  if (edit) await enqueue('edit_job', edit)
}

export async function moveJob(id: string, stage: Stage): Promise<void> {
  await enqueue('move_job', { id, stage })
}

export async function addComplaint(complaint: Omit<Commands['add_complaint'], 'id'>): Promise<string> {
  const id = newId()
  await enqueue('add_complaint', { id, ...complaint })
  return id
}

/** Records a finding, with the pictures that were taken on its form: all of it or nothing. */
export async function recordFinding(
  finding: Omit<Commands['record_finding'], 'id'>,
  kept: readonly Sending[] = [],
): Promise<string> {
  const id = newId()
  await enqueueAll([{ name: 'record_finding', args: { id, ...finding } }, ...wordsOf(kept, 'finding', id)])
  if (kept.length) {
    const shop = current()
    await noteSaid(
      shop.db,
      kept.map((each) => each.id),
    )
    await shop.tellPictures()
  }
  return id
}

/** Changes the fields that differ from what the person saw. */
export async function editFinding(
  seen: Finding,
  wanted: Partial<Pick<Finding, FindingFields>>,
): Promise<void> {
  const edit = editOf(seen, wanted)
  if (edit) await enqueue('edit_finding', edit)
}

export async function removeFinding(id: string): Promise<void> {
  await enqueue('remove_finding', { id })
}
