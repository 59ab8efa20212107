import { phoneDigits } from '../../../domain/customers/phoneNumber'
import type { MachineFormFields } from '../../features/machines/MachineFields'
import type { FormState } from '../../useForm'
import type { LocationFormFields } from './MachineLocationFields'

/** The form of a new job as typed: a known customer and machine by id, or the text for new ones. */
export interface NewJobFields {
  customerId: string | null
  /** A name, or a telephone number: `newCustomer` tells them apart. */
  customerName: string
  /** The name where a number was typed first, the number where a name was. */
  nameToNumber: string
  phone: string
  machineId: string | null
  machine: MachineFormFields
  words: string
  happens_when: string
  promised_on: string
  where: LocationFormFields
}

/** Name and phone of a new customer as typed, whichever of the two came first. */
export function newCustomer(fields: Pick<NewJobFields, 'customerName' | 'nameToNumber' | 'phone'>) {
  const first = fields.customerName.trim()
  return phoneDigits(first)
    ? { name: fields.nameToNumber.trim(), phone: first }
    : { name: first, phone: fields.phone.trim() }
}

export type NewJobFieldsProps = Pick<FormState<NewJobFields>, 'fields' | 'update'>
