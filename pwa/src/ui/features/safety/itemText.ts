import type { SafetyItem } from '../../../domain/contract'
import { conditions, devices, safetyItems as t } from '../../../domain/words/safetyItems'
import { finding, findingsOf, safetyItemsOf, whyOpen } from '../../../store/findings'

/** What a safety device is called: by its key, or as typed. */
export const deviceName = (device: string): string => devices[device]?.name ?? device

/** "Seat switch: bypassed". */
export const itemText = ({ device, condition }: Pick<SafetyItem, 'device' | 'condition'>): string =>
  `${deviceName(device)}: ${conditions[condition].toLowerCase()}`

export type ItemState = 'open' | 'repaired' | 'left'

/** Whether a safety item is open, repaired, or left with the customer's acknowledgement. */
export function itemState({ finding_id, repaired }: SafetyItem): ItemState {
  if (repaired) return 'repaired'
  const row = finding(finding_id)
  return row && whyOpen(row) === null ? 'left' : 'open'
}

/** The state of a safety item in words. */
export const itemStateText = (item: SafetyItem): string => t[itemState(item)]

/** The safety items of a job, by their findings. */
export const itemsOfJob = (job_id: string): SafetyItem[] =>
  findingsOf(job_id).flatMap(({ id }) => safetyItemsOf(id))

/** The safety items of a finding that are not repaired. */
export const itemsLeft = (finding_id: string): SafetyItem[] =>
  safetyItemsOf(finding_id).filter(({ repaired }) => !repaired)
