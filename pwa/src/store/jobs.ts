import { computed } from '@preact/signals'
import { type Command, type Commands, type Finding, type Job, RANKS, type Stage } from '../domain/contract'
import { openSafety } from '../domain/jobs/safety'
import { newId } from './browser/clock'
import { type Place, siteAt } from './customers'
import type { PendingUpload } from './database/shopDatabase'
import { attachCommands } from './pictures/attachments'
import { releaseFormPictures } from './pictures/pictureStore'
import { type Changes, type NewRowFields, sendAdd, sendEdit, sendRemove } from './queue/commands'
import { enqueue, enqueueAll, newProvisionalMark } from './queue/outbox'
import { allOf, byAge, byId, compare, ownedBy } from './rows/selectors'
import { requireShopSession } from './session/shopSession'
import { shop } from './shop'

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
/** The findings of a job, the most important first, then the oldest. */
export const findingsOf = (job_id: string) =>
  ownedBy('finding', 'job_id', job_id).sort((a, b) => placeOf(a) - placeOf(b) || byAge(a, b))

/** A rank that only a newer server knows comes last. */
const placeOf = ({ rank }: Finding) => (RANKS.indexOf(rank) + RANKS.length + 1) % (RANKS.length + 1)
export const finding = (id: string) => byId('finding', id)
export const acknowledgementsOf = (finding_id: string) =>
  ownedBy('safety_acknowledgement', 'finding_id', finding_id).sort(byAge)
export const openSafetyOf = (job_id: string) => findingsOf(job_id).filter(whyOpen)

/** Why a finding keeps its job from being ready; null where it does not. */
export function whyOpen(row: Finding) {
  return openSafety(row, acknowledgementsOf(row.id), safetyItemsOf(row.id), shop.value?.no_bypass)
}

export const safetyItem = (id: string) => byId('safety_item', id)
export const safetyItemsOf = (finding_id: string) =>
  ownedBy('safety_item', 'finding_id', finding_id).sort(byAge)

/** Whether a finding was left unrepaired: by its safety items where it has some, else because it was declined. */
function isLeft({ id, job_id, decided }: Finding): boolean {
  const items = safetyItemsOf(id)
  const declined = decided === 'declined'
  if (!items.length) return declined
  return items.some(({ repaired }) => !repaired) && (declined || !isOpen(job(job_id)))
}

/** Findings left on earlier visits of a job's machine and not repeated since, newest first. */
export function declinedBefore({ id, machine_id }: Job): Finding[] {
  return jobsOfMachine(machine_id)
    .filter((earlier) => earlier.id !== id)
    .flatMap((earlier) => findingsOf(earlier.id))
    .filter((row) => isLeft(row) && ownedBy('finding', 'again_of_id', row.id).length === 0)
}

export const openJob = async (fields: Omit<NewRowFields<'open_job'>, 'mark'>) =>
  sendAdd('open_job', { ...fields, mark: await newProvisionalMark(requireShopSession().db) })

/** A new job with a known or new customer and machine. Of a known customer, what is said anew of reaching them. */
export interface NewIntake {
  customer: { id: string; edit?: Command | undefined } | Omit<Commands['add_customer'], 'id'>
  machine: { id: string } | Omit<Commands['add_machine'], 'id' | 'customer_id'>
  site?: Place | undefined
  job?: Omit<Commands['open_job'], 'id' | 'mark' | 'customer_id' | 'machine_id' | 'site_id'>
  complaint?: Omit<Commands['add_complaint'], 'id' | 'job_id'>
  /** The hour meter as read now. */
  meter?: Omit<Commands['record_meter'], 'id' | 'machine_id'> | undefined
  terms?: Omit<Commands['record_intake_terms'], 'id' | 'job_id'> | undefined
  /** Pictures of the machine's plate, with the name that they get. */
  plate?: { kept: readonly PendingUpload[]; label: string }
}

/** Saves all that was taken down at intake in one transaction. */
export async function saveIntake(taken: NewIntake): Promise<string> {
  const { customer, machine, site, job, complaint, meter, terms, plate } = taken
  const commands: Command[] = []
  const customer_id = 'id' in customer ? customer.id : newId()
  if ('id' in customer) commands.push(...(customer.edit ? [customer.edit] : []))
  else commands.push({ name: 'add_customer', args: { id: customer_id, ...customer } })
  const machine_id = 'id' in machine ? machine.id : newId()
  if (!('id' in machine))
    commands.push({ name: 'add_machine', args: { id: machine_id, customer_id, ...machine } })
  const at = site && siteAt(customer_id, site)
  commands.push(...(at?.commands ?? []))
  const id = newId()
  const mark = await newProvisionalMark(requireShopSession().db)
  const where = at ? { site_id: at.site_id } : {}
  commands.push({ name: 'open_job', args: { id, customer_id, machine_id, ...where, ...job, mark } })
  if (complaint) commands.push({ name: 'add_complaint', args: { id: newId(), job_id: id, ...complaint } })
  if (meter) commands.push({ name: 'record_meter', args: { id: newId(), machine_id, ...meter } })
  if (terms) commands.push({ name: 'record_intake_terms', args: { id: newId(), job_id: id, ...terms } })
  const kept = plate?.kept ?? []
  commands.push(...attachCommands(kept, 'machine', machine_id, plate?.label))
  await enqueueWithPictures(commands, kept)
  return id
}

/** Queues the commands of a form, then releases its pictures for upload. */
export async function enqueueWithPictures(
  commands: Command[],
  kept: readonly PendingUpload[],
): Promise<void> {
  await enqueueAll(commands)
  if (!kept.length) return
  const shop = requireShopSession()
  await releaseFormPictures(
    shop.db,
    kept.map((each) => each.id),
  )
  await shop.announcePictures()
}

/** What was told and accepted at the intake of a job, oldest first. */
export const intakeTermsOf = (job_id: string) => ownedBy('intake_terms', 'job_id', job_id).sort(byAge)

export const recordIntakeTerms = (fields: NewRowFields<'record_intake_terms'>) =>
  sendAdd('record_intake_terms', fields)

export const editJob = (seen: Job, wanted: Changes<'edit_job'>) => sendEdit('edit_job', seen, wanted)

export async function moveJob(id: string, stage: Stage): Promise<void> {
  await enqueue('move_job', { id, stage })
}

export const addComplaint = (fields: NewRowFields<'add_complaint'>) => sendAdd('add_complaint', fields)

/** Records a finding with the pictures of its form in one transaction. */
export async function recordFinding(
  finding: Omit<Commands['record_finding'], 'id'>,
  kept: readonly PendingUpload[] = [],
): Promise<string> {
  const id = newId()
  await enqueueWithPictures(
    [{ name: 'record_finding', args: { id, ...finding } }, ...attachCommands(kept, 'finding', id)],
    kept,
  )
  return id
}

export const acknowledgeFinding = (fields: NewRowFields<'acknowledge_finding'>) =>
  sendAdd('acknowledge_finding', fields)
export const editFinding = (seen: Finding, wanted: Changes<'edit_finding'>) =>
  sendEdit('edit_finding', seen, wanted)
export const removeFinding = (id: string) => sendRemove('remove_finding', id)
