import { en } from '../../../domain/words'
import { doneJobs } from '../../../store/comebacks'
import { editCustomerCommand } from '../../../store/customerEdits'
import { customer } from '../../../store/customers'
import { saveIntake } from '../../../store/intake'
import { formPicturesOf } from '../../../store/pictures/attachments'
import { priceBook } from '../../../store/priceBook'
import { toMachineFields, validateMachine } from '../../features/machines/MachineFields'
import { format, today } from '../../shopFormat'
import type { FieldErrors } from '../../useForm'
import { toTerms } from './intakeTerms'
import { locationError, locationOf } from './MachineLocationFields'
import { acceptedNow, meterOf, type NewJobFields, newCustomer, saidContact } from './newJobFields'
import { toUrgency, urgencyErrors } from './urgency'

const t = en.newJob

/** Who is asked to accept the terms: the contact person, else the customer. */
export function personIn(fields: NewJobFields): string {
  const row = fields.customerId ? customer(fields.customerId) : undefined
  return row ? row.person || row.name : newCustomer(fields).name
}

/** The name is missing where it was to be typed: after a number, in the second field. */
function missingName(fields: NewJobFields): FieldErrors {
  if (newCustomer(fields).name) return {}
  return { [fields.customerName.trim() ? 'nameToNumber' : 'customerName']: t.missing.customer }
}

/** The hours as typed; null where nothing was, undefined where it is no number. */
function hoursIn({ hours }: NewJobFields): string | null | undefined {
  if (!hours.trim()) return null
  const read = format.value.readNumber(hours)
  return read === null || read.startsWith('-') ? undefined : read
}

/** What is wrong with a new job as typed, by field. */
export function newJobErrors(fields: NewJobFields): FieldErrors {
  const known = fields.customerId && customer(fields.customerId)
  return {
    ...(!known && missingName(fields)),
    ...(!fields.machineId && validateMachine(fields.machine)),
    words: !fields.words.trim() && t.missing.words,
    hours: hoursIn(fields) === undefined && en.quote.line.missingNumber,
    ...urgencyErrors(fields),
    who:
      fields.terms.accepted.length > 0 &&
      !(fields.terms.who ?? personIn(fields)).trim() &&
      en.terms.missingWho,
    position: locationError(fields.customerId, fields.where),
  }
}

/** The job of the chosen machine whose work came back, where one was chosen. */
function comebackIn({ machineId, comebackOf }: NewJobFields) {
  const first = machineId ? doneJobs(machineId).find(({ id }) => id === comebackOf) : undefined
  return first ? { comeback_of_id: first.id } : {}
}

/** Saves a new job with all that was said. Returns its id, and how the machine gets here. */
export async function saveNewJob(form: string, fields: NewJobFields) {
  const { customerId, machineId, words, happens_when, arrives_by, contact } = fields
  const { name, phone } = newCustomer(fields)
  const known = customerId ? customer(customerId) : undefined
  const id = await saveIntake({
    customer: known
      ? { id: known.id, edit: editCustomerCommand(known, contact) }
      : { name, ...(phone && { phone }), ...saidContact(contact) },
    machine: machineId ? { id: machineId } : toMachineFields(fields.machine),
    site: locationOf(customerId, fields.where) ?? undefined,
    job: { ...toUrgency(fields), arrives_by, ...comebackIn(fields) },
    complaint: { words, happens_when },
    meter: meterOf(hoursIn(fields) ?? null, today()),
    terms: acceptedNow(toTerms(fields.terms, priceBook.value?.prices, personIn(fields))),
    plate: { kept: formPicturesOf(form), label: en.intake.plateCaption },
  })
  return { id, arrives_by }
}
