import type { LineKind, Quote, QuoteLine } from '../../../domain/contract'
import { matchWork } from '../../../domain/labor/workMatch'
import { isDiagnosisFee } from '../../../domain/quotes/totals'
import { en } from '../../../domain/words'
import { findingsOf } from '../../../store/findings'
import { intakeTermsOf } from '../../../store/intake'
import { linesOf, putQuoteLine } from '../../../store/quotes'
import { hasClocked } from '../../../store/timeEntries'
import { histories } from '../../../store/timeReports'
import { format } from '../../shopFormat'
import { findingOptions } from './FindingFields'
import { blankLine, type LineFormFields, parseLine } from './lineFormFields'
import { workNamed } from './PricingFields'

/** A function from a finding to the fields that a line takes from it, and the work about it that is on the quote. */
export const aboutFinding = (row: Quote, seen: QuoteLine | null) => (id: string, words: string) => {
  const same = linesOf(row.id).find((line) => line.finding_id === id && line.id !== seen?.id)
  const finding = findingsOf(row.job_id).find((one) => one.id === id)
  return {
    ...findingOptions(finding, words, same !== undefined),
    ...(finding && same && { workId: same.belongs_to_id ?? same.id }),
  }
}

/** A new line for a finding or a work; labor takes its work name from the finding. */
export function firstLine(
  row: Quote,
  kind: LineKind,
  { findingId, workId }: Pick<LineFormFields, 'findingId'> & { workId: string },
  machineKind: string,
): LineFormFields {
  const found = findingsOf(row.job_id).find(({ id }) => id === findingId)?.words ?? ''
  return {
    ...blankLine(kind, row.basis),
    ...(kind === 'labor' && workNamed(matchWork(found, histories(), machineKind) ?? '', machineKind)),
    ...aboutFinding(row, null)(findingId, ''),
    // Of several works about one finding, the one that is asked for.
    ...(workId && { workId }),
    asked: kind === 'travel' && hasClocked(row.job_id, 'travel') ? 'agreed' : 'yes',
    ...(kind === 'fee' && feeOfIntake(row)),
  }
}

/**
 * The diagnosis fee that the customer accepted at intake, as a line that is not asked again; nothing where none was, or
 * where the quote charges it already. It is the fee of the price book, unless that has changed since.
 */
function feeOfIntake(row: Quote): Partial<LineFormFields> {
  const fee = intakeTermsOf(row.job_id).at(-1)?.diagnosis_fee_minor ?? null
  if (fee === null || linesOf(row.id).some(isDiagnosisFee)) return {}
  return {
    words: en.quote.kinds.diagnosis,
    asked: 'agreed',
    priced: fee === row.basis.diagnosis_fee_minor ? 'book' : 'set',
    price: format.value.typedMoney(fee),
  }
}

export function saveLine(row: Quote, kind: LineKind, seen: QuoteLine | null, fields: LineFormFields) {
  const { figures: line } = parseLine(kind, fields, row.basis, format.value)
  if (!line) return null
  const last = Math.max(0, ...linesOf(row.id).map(({ position }) => position))
  const placed = {
    quote_id: row.id,
    finding_id: fields.findingId || null,
    position: seen?.position ?? last + 1,
  }
  return putQuoteLine({ ...(seen && { id: seen.id }), ...placed, ...line })
}
