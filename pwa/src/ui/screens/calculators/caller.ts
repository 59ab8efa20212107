import type { CalculatorName } from '../../../domain/bench/calculators/calculators'
import type { Route } from '../../router'

/** Where a calculator was opened from: a job's bench, or its reading, which takes the result. */
export interface Caller {
  jobId?: string | undefined
  purpose?: string | undefined
}

/** Those whose main result may be a reading. */
export const READING_NAMES: readonly CalculatorName[] = [
  'conversion',
  'battery',
  'charging',
  'compression',
  'leak_down',
  'coolant',
  'belt_speed',
]

/** The query of the address of another calculator screen. */
export const callerOf = ({ jobId, purpose }: Caller) => ({
  ...(jobId && { jobId }),
  ...(purpose && { purpose }),
})

/** The screen behind the list of calculators, if not the usual one. */
export function leadsBackTo({ jobId, purpose }: Caller): Route | undefined {
  if (!jobId) return undefined
  return purpose === 'reading' ? { at: 'job-reading', id: jobId } : { at: 'job-bench', id: jobId }
}
