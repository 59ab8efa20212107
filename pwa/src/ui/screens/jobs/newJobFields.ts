import type { MachineFormFields } from '../../features/machines/MachineFields'
import type { FormState } from '../../useForm'
import type { LocationFormFields } from './MachineLocationFields'

/** The form of a new job as typed: a known customer and machine by id, or the text for new ones. */
export interface NewJobFields {
  customerId: string | null
  customerName: string
  phone: string
  machineId: string | null
  machine: MachineFormFields
  words: string
  happens_when: string
  promised_on: string
  where: LocationFormFields
}

export type NewJobFieldsProps = Pick<FormState<NewJobFields>, 'fields' | 'update'>
