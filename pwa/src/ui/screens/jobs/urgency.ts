import type { Job, Urgency } from '../../../domain/contract'
import { en } from '../../../domain/words'
import type { FieldErrors } from '../../useForm'

/** How urgent a job is, as asked: a date alone is an answer too. */
export type UrgencyChoice = 'usual' | 'by_date' | 'down'

export interface UrgencyFormFields {
  urgency: UrgencyChoice
  promised_on: string
}

export const NO_URGENCY: UrgencyFormFields = { urgency: 'usual', promised_on: '' }

/** The answer that a job's urgency and date come from. */
export const urgencyOf = ({
  urgency,
  promised_on,
}: Pick<Job, 'urgency' | 'promised_on'>): UrgencyFormFields => ({
  urgency: urgency === 'down' ? 'down' : promised_on ? 'by_date' : 'usual',
  promised_on: promised_on ?? '',
})

/** Urgency and date as the commands take them; no hurry has no date. */
export function toUrgency({ urgency, promised_on }: UrgencyFormFields): {
  urgency: Urgency
  promised_on: string | null
} {
  return {
    urgency: urgency === 'down' ? 'down' : 'usual',
    promised_on: (urgency !== 'usual' && promised_on) || null,
  }
}

/** A job needed by a date has one. */
export const urgencyErrors = ({ urgency, promised_on }: UrgencyFormFields): FieldErrors => ({
  promised_on: urgency === 'by_date' && !promised_on && en.intake.missingDate,
})
