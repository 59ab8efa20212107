import type { Waits } from '../../domain/contract'
import { waitsOnParts } from '../../domain/parts/needs'
import type { ReplayRows } from '../rows/overlay'
import { editRow, type ReplayContext } from './context'

/** A job waits on parts while one that it needs has not come. */
export function derivePartWaits(rows: ReplayRows, job_id: string, context: ReplayContext): void {
  setWait(rows, job_id, 'parts', waitsOnParts(rows.where('part_need', 'job_id', job_id)), context)
}

/** Sets whether a job waits on one thing. Twin: `set_wait`. */
export function setWait(
  rows: ReplayRows,
  job_id: string,
  wait: Waits,
  waiting: boolean,
  context: ReplayContext,
): void {
  const job = rows.get('job', job_id)
  if (!job || job.waits_on.includes(wait) === waiting) return
  const others = job.waits_on.filter((one) => one !== wait)
  editRow(rows, 'job', job_id, { waits_on: waiting ? [...others, wait].sort() : others }, context)
}
