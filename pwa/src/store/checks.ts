import { findingOfCheck } from '../domain/bench/checks'
import type { Check, CheckList, Commands } from '../domain/contract'
import { moment } from '../domain/time'
import { newId } from './browser/clock'
import { type Changes, type NewRowFields, sendAdd, sendEdit, sendRemove } from './queue/commands'
import { enqueueAll } from './queue/outbox'
import { allOf, byAge, byId, compare, ownedBy } from './rows/selectors'

export const checkList = (id: string) => byId('check_list', id)
/** The shop's check lists, by name. */
export const checkLists = () =>
  allOf('check_list').sort((a, b) => compare(a.name, b.name) || compare(a.id, b.id))

export const check = (id: string) => byId('check', id)
/** Everything recorded at the items of check lists on a job, oldest first. */
export const checksOf = (job_id: string) => ownedBy('check', 'job_id', job_id).sort(byAge)

export const addCheckList = (fields: NewRowFields<'add_check_list'>) => sendAdd('add_check_list', fields)
export const editCheckList = (seen: CheckList, wanted: Changes<'edit_check_list'>) =>
  sendEdit('edit_check_list', seen, wanted)
export const removeCheckList = (id: string) => sendRemove('remove_check_list', id)

/** Records what was found at an item, now. */
export const recordCheck = (fields: Omit<Commands['record_check'], 'id' | 'checked_at'>) =>
  sendAdd('record_check', { ...fields, checked_at: moment(Date.now()) })

/** Makes a finding of a check in one transaction: the finding, and the check again with its id. Returns the finding's. */
export async function makeFindingOf(row: Check): Promise<string> {
  const { job_id, item_id, list_name, item_words, critical, result, words } = row
  const finding_id = newId()
  const again = { job_id, item_id, list_name, item_words, critical, result, words, finding_id }
  await enqueueAll([
    { name: 'record_finding', args: { id: finding_id, job_id, ...findingOfCheck(row) } },
    { name: 'record_check', args: { id: newId(), ...again, checked_at: moment(Date.now()) } },
  ])
  return finding_id
}
