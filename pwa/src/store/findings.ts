import { type Commands, type Finding, type Job, RANKS } from '../domain/contract'
import { openSafety } from '../domain/jobs/safety'
import { newId } from './browser/clock'
import type { PendingUpload } from './database/shopDatabase'
import { isOpen, job, jobsOfMachine } from './jobs'
import { attachCommands } from './pictures/attachments'
import { enqueueWithPictures } from './pictures/enqueueWithPictures'
import { type Changes, type NewRowFields, sendAdd, sendEdit, sendRemove } from './queue/commands'
import { byAge, byId, ownedBy } from './rows/selectors'
import { shop } from './shop'

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
