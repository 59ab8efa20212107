import type { ArrivesBy, Commands, ContactWish, Customer, Language } from '../../../domain/contract'
import { phoneDigits } from '../../../domain/customers/phoneNumber'
import { moment } from '../../../domain/time'
import { shop } from '../../../store/shop'
import type { MachineFormFields } from '../../features/machines/MachineFields'
import type { FormState } from '../../useForm'
import type { TermsFormFields } from './intakeTerms'
import type { LocationFormFields } from './MachineLocationFields'
import type { UrgencyFormFields } from './urgency'

/** The form of a new job as typed: a known customer and machine by id, or the text for new ones. */
export interface NewJobFields extends UrgencyFormFields {
  customerId: string | null
  /** A name, or a telephone number: `newCustomer` tells them apart. */
  customerName: string
  /** The name where a number was typed first, the number where a name was. */
  nameToNumber: string
  phone: string
  contact: ContactFormFields
  machineId: string | null
  /** The job of the machine whose work came back; empty: none. */
  comebackOf: string
  machine: MachineFormFields
  hours: string
  words: string
  happens_when: string
  arrives_by: ArrivesBy
  where: LocationFormFields
  terms: TermsFormFields
}

/** How a customer is reached besides the first phone, and in which language. */
export type ContactFormFields = Pick<Customer, 'second_phone' | 'email' | 'contact_by' | 'language'>

/** Of a new customer: the shop's usual language. */
export const noContact = (): ContactFormFields => ({
  second_phone: '',
  email: '',
  contact_by: '',
  language: shop.value?.customer_language ?? 'en',
})

/** What the shop knows of reaching a customer. */
export const contactOf = (row: Customer | undefined): ContactFormFields =>
  row
    ? {
        second_phone: row.second_phone,
        email: row.email,
        contact_by: row.contact_by,
        language: row.language ?? 'en',
      }
    : noContact()

/** Name and phone of a new customer as typed, whichever of the two came first. */
export function newCustomer(fields: Pick<NewJobFields, 'customerName' | 'nameToNumber' | 'phone'>) {
  const first = fields.customerName.trim()
  return phoneDigits(first)
    ? { name: fields.nameToNumber.trim(), phone: first }
    : { name: first, phone: fields.phone.trim() }
}

/** What was said of reaching the customer, trimmed; without what was left empty. */
export function saidContact({ second_phone, email, contact_by, language }: ContactFormFields) {
  const said: { second_phone?: string; email?: string; contact_by?: ContactWish; language: Language } = {
    language,
  }
  if (second_phone.trim()) said.second_phone = second_phone.trim()
  if (email.trim()) said.email = email.trim()
  if (contact_by) said.contact_by = contact_by
  return said
}

/** The hour meter as the command takes it; undefined where none was read. */
export const meterOf = (hours: string | null, read_on: string) =>
  hours === null ? undefined : { hours, read_on }

type Terms = Omit<Commands['record_intake_terms'], 'id' | 'job_id'>

/** The terms as accepted now; undefined where none were. */
export const acceptedNow = (terms: Omit<Terms, 'accepted_at'> | undefined): Terms | undefined =>
  terms && { ...terms, accepted_at: moment(Date.now()) }

export type NewJobFieldsProps = Pick<FormState<NewJobFields>, 'fields' | 'update'>
