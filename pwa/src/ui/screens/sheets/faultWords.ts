import type { Fault } from '../../../domain/validation/fieldFaults'
import { sheets as t } from '../../../domain/words/sheets'
import type { FieldErrors } from '../../useForm'

/** The sentences of faults, by field. */
export const faultWords = (faults: readonly Fault[]): FieldErrors =>
  Object.fromEntries(faults.map(({ field, code }) => [field, t.faults[code] ?? t.entry.missing]))
