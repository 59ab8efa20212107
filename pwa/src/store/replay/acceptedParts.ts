import type { Quote } from '../../domain/contract'
import { needsToFollow, partOfLine } from '../../domain/parts/accepted'
import { partPrice } from '../../domain/quotes/prices'
import type { ReplayRows } from '../rows/overlay'
import { byAge } from '../rows/selectors'
import { addRow, editRow, type ReplayContext } from './context'
import { derivePartWaits } from './waits'

/** Makes what the job needs follow a decided quote. Twin: `need_parts_of`. */
export function needPartsOf(rows: ReplayRows, quote: Quote, context: ReplayContext): void {
  const accepted = rows
    .where('quote_line', 'quote_id', quote.id)
    .filter(({ kind, decided }) => kind === 'part' && decided === 'accepted')
    .map((line) => partOfLine(line, partPrice(quote.basis, line)))
  const known = rows.where('part_need', 'job_id', quote.job_id).toSorted(byAge)
  const { added, takenOver, cancelled } = needsToFollow(accepted, known, formerLines(rows, quote))
  for (const [id, { line_id, agreed_minor }] of takenOver)
    editRow(rows, 'part_need', id, { line_id, agreed_minor }, context)
  for (const id of cancelled) editRow(rows, 'part_need', id, { state: 'cancelled' }, context)
  for (const part of added)
    addRow(rows, 'part_need', { id: part.line_id, job_id: quote.job_id, ...part }, context)
  derivePartWaits(rows, quote.job_id, context)
}

/** The lines of the revisions that a quote replaces. */
function formerLines(rows: ReplayRows, quote: Quote): Set<string> {
  const found = new Set<string>()
  for (let at = quote.replaces_id; at !== null; at = rows.get('quote', at)?.replaces_id ?? null)
    for (const { id } of rows.where('quote_line', 'quote_id', at)) found.add(id)
  return found
}
