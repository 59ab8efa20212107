import type { Command, Commands, Finding, SafetyItem } from '../domain/contract'
import { newId } from './browser/clock'
import type { PendingUpload } from './database/shopDatabase'
import { safetyItemsOf } from './findings'
import { attachCommands } from './pictures/attachments'
import { enqueueWithPictures } from './pictures/enqueueWithPictures'
import { type Changes, sendEdit } from './queue/commands'
import { enqueue, enqueueAll } from './queue/outbox'

/** Records a safety item with the pictures of its form, and its finding where none is given, in one transaction. */
export async function recordSafetyItem(
  fields: Omit<Commands['record_safety_item'], 'id'>,
  kept: readonly PendingUpload[] = [],
): Promise<string> {
  const id = newId()
  await enqueueWithPictures(
    [{ name: 'record_safety_item', args: { id, ...fields } }, ...attachCommands(kept, 'safety_item', id)],
    kept,
  )
  return id
}

export const editSafetyItem = (seen: SafetyItem, wanted: Changes<'edit_safety_item'>) =>
  sendEdit('edit_safety_item', seen, wanted)

/** Deletes a safety item, and the finding that was made with it. */
export async function removeSafetyItem({ id, finding_id }: SafetyItem): Promise<void> {
  const own = finding_id === id && safetyItemsOf(id).length === 1
  const commands: Command[] = [{ name: 'remove_safety_item', args: { id } }]
  if (own) commands.push({ name: 'remove_finding', args: { id } })
  await enqueueAll(commands)
}

export const notePartSearch = (args: Commands['note_part_search']) => enqueue('note_part_search', args)
export const repairSafetyItem = (args: Commands['repair_safety_item']) => enqueue('repair_safety_item', args)
export const reopenSafetyItem = (args: Commands['reopen_safety_item']) => enqueue('reopen_safety_item', args)

/**
 * Takes up on a job a finding that was left on an earlier visit, with the safety items that were not repaired, in one
 * transaction. Returns how to undo that.
 */
export async function takeUpFinding(job_id: string, earlier: Finding): Promise<() => Promise<unknown>> {
  const id = newId()
  const { words, consequence, rank, id: again_of_id } = earlier
  const items = safetyItemsOf(earlier.id)
    .filter(({ repaired }) => !repaired)
    .map(({ device, condition, protection_lost, interim }) => ({
      id: newId(),
      job_id,
      finding_id: id,
      device,
      condition,
      protection_lost,
      interim,
    }))
  await enqueueAll([
    { name: 'record_finding', args: { id, job_id, words, consequence, rank, again_of_id } },
    ...items.map((args): Command => ({ name: 'record_safety_item', args })),
  ])
  return () =>
    enqueueAll([
      ...items.map((item): Command => ({ name: 'remove_safety_item', args: { id: item.id } })),
      { name: 'remove_finding', args: { id } },
    ])
}
