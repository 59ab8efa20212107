import type { LabelKind, LabelSheet } from '../domain/contract'
import { newId } from './browser/clock'
import { enqueue } from './queue/outbox'
import { compare, ownedBy } from './rows/selectors'

/** The sheets of labels of a job, oldest first. */
export const labelSheetsOf = (job_id: string): LabelSheet[] =>
  ownedBy('label_sheet', 'job_id', job_id).sort(
    (a, b) => compare(a.created_at, b.created_at) || compare(a.id, b.id),
  )

/** The bag after the highest one that has a label. */
export const nextBag = (sheets: readonly LabelSheet[]): number =>
  Math.max(0, ...sheets.filter(({ kind }) => kind === 'bags').map(({ first, count }) => first + count - 1)) +
  1

export async function printLabels(
  job_id: string,
  kind: LabelKind,
  first: number,
  count: number,
): Promise<void> {
  await enqueue('print_labels', { id: newId(), job_id, kind, first, count })
}
