import type { Command, Commands } from '../domain/contract'
import { newId } from './browser/clock'
import { type Place, siteAt } from './customers'
import type { PendingUpload } from './database/shopDatabase'
import { attachCommands } from './pictures/attachments'
import { enqueueWithPictures } from './pictures/enqueueWithPictures'
import { type NewRowFields, sendAdd } from './queue/commands'
import { newProvisionalMark } from './queue/outbox'
import { byAge, ownedBy } from './rows/selectors'
import { requireShopSession } from './session/shopSession'

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

/** What was told and accepted at the intake of a job, oldest first. */
export const intakeTermsOf = (job_id: string) => ownedBy('intake_terms', 'job_id', job_id).sort(byAge)

export const recordIntakeTerms = (fields: NewRowFields<'record_intake_terms'>) =>
  sendAdd('record_intake_terms', fields)
