import type { Quote, QuoteLine } from '../../../domain/contract'
import { findingsOf } from '../../../store/findings'
import { linesOf, quotesOf } from '../../../store/quotes'

/**
 * Findings without a decision that no line is about, in this quote or in another one of the job that is not decided yet,
 * and those that lines of this quote are about but no labor.
 */
export function findingsToQuote(row: Quote, lines: readonly QuoteLine[]) {
  const quoted = new Set(lines.map((line) => line.finding_id))
  const elsewhere = quotesOf(row.job_id)
    .filter(({ id, state }) => id !== row.id && (state === 'draft' || state === 'offered'))
    .flatMap(({ id }) => linesOf(id).map((line) => line.finding_id))
  const inAny = new Set([...quoted, ...elsewhere])
  const withLabor = new Set(lines.filter(({ kind }) => kind === 'labor').map((line) => line.finding_id))
  const open = findingsOf(row.job_id).filter(({ id, decided }) => decided === 'open' && !withLabor.has(id))
  return {
    unquoted: open.filter(({ id }) => !inAny.has(id)),
    laborless: open.filter(({ id }) => quoted.has(id)),
  }
}
