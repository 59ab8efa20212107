import type { Quote } from '../domain/contract'
import { inOrder } from '../domain/quotes/lines'
import { type OfferedRevision, type Successors, successorsOf } from '../domain/quotes/matching'
import { offeredLines } from '../domain/quotes/offeredLines'
import { computeTotals } from '../domain/quotes/totals'
import { approvalsOf, isPendingRevision, linesOf, quote, quotesOf } from './quotes'

/**
 * By id of a line of a replaced quote on a job: the line of the quote that counts now. Twin: `successors_on` in
 * `shopapi/quotes/queries/successors.py`.
 */
export function successorsOn(job_id: string): Successors {
  const found = new Map<string, string>()
  for (const row of quotesOf(job_id)) {
    if ((row.state !== 'offered' && row.state !== 'decided') || isPendingRevision(row)) continue
    const chain = chainOf(row)
    if (chain.length < 2) continue
    for (const [id, successor] of successorsOf(chain.map(revisionOffered))) found.set(id, successor)
  }
  return found
}

/** A quote after the offered ones that it replaced, oldest first. */
function chainOf(last: Quote): Quote[] {
  const chain = [last]
  for (let at = last.replaces_id; at !== null; ) {
    const before = quote(at)
    if (before?.offered_at) chain.unshift(before)
    at = before?.replaces_id ?? null
  }
  return chain
}

function revisionOffered({ id, basis, discount, shown }: Quote): OfferedRevision {
  const lines = inOrder(linesOf(id))
  const totals = computeTotals(basis, lines, { discount, exempt: shown?.exempt ?? false })
  return { lines: offeredLines(basis, lines, totals), signed: approvalsOf(id).some(({ matches }) => matches) }
}
