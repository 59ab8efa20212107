import type { Quote, QuoteLine } from '../../../domain/contract'
import { findingsOf } from '../../../store/jobs'

/** Findings without a decision that no line is about, and those that lines are about but no labor. */
export function findingsToQuote(row: Quote, lines: readonly QuoteLine[]) {
  const quoted = new Set(lines.map((line) => line.finding_id))
  const withLabor = new Set(lines.filter(({ kind }) => kind === 'labor').map((line) => line.finding_id))
  const open = findingsOf(row.job_id).filter(({ id, decided }) => decided === 'open' && !withLabor.has(id))
  return {
    unquoted: open.filter(({ id }) => !quoted.has(id)),
    laborless: open.filter(({ id }) => quoted.has(id)),
  }
}
