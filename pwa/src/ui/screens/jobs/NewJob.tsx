import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { saveIntake } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { TextField } from '../../components/Field'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { BLANK_MACHINE, toMachineFields, validateMachine } from '../../features/machines/MachineFields'
import { type FieldErrors, useForm } from '../../useForm'
import { CustomerChoice } from './CustomerChoice'
import { MachineChoice } from './MachineChoice'
import { locationError, locationOf, MachineLocationFields, NO_LOCATION } from './MachineLocationFields'
import { type NewJobFields, newCustomer } from './newJobFields'

const t = en.newJob

const BLANK: NewJobFields = {
  customerId: null,
  customerName: '',
  nameToNumber: '',
  phone: '',
  machineId: null,
  machine: BLANK_MACHINE,
  words: '',
  happens_when: '',
  promised_on: '',
  where: NO_LOCATION,
}

/** Customer, machine and complaint in one form; all of it is saved in one command. */
export function NewJob({ customerId, machineId }: { customerId?: string; machineId?: string }) {
  const form = useForm<NewJobFields, string>({
    name: `new-job:${machineId ?? customerId ?? ''}`,
    blank: {
      ...BLANK,
      customerId: customerId ?? (machineId && machine(machineId)?.customer_id) ?? null,
      machineId: machineId ?? null,
    },
    check: faults,
    save,
    next: (id) => ({ at: 'job', id }),
  })
  const { fields, update, errors, field } = form
  return (
    <FormPage form={form} title={t.title} saveLabel={t.save} saveHint={t.saveHint}>
      <Section title={t.customer}>
        <CustomerChoice fields={fields} update={update} errors={errors} />
      </Section>
      <Section title={t.machine}>
        <MachineChoice fields={fields} update={update} errors={errors} />
      </Section>
      <Section title={t.wrong}>
        <TextField multiline label={t.words} {...field('words')} />
        <TextField label={t.when} hint={t.whenHint} {...field('happens_when')} />
        <TextField
          type="date"
          label={t.promised}
          hint={en.job.fields.promisedHint}
          {...field('promised_on')}
        />
      </Section>
      <MachineLocationFields
        customerId={fields.customerId}
        fields={fields.where}
        error={errors['position']}
        update={(changed) => update({ where: { ...fields.where, ...changed } })}
      />
    </FormPage>
  )
}

/** The name is missing where it was to be typed: after a number, in the second field. */
function missingName(fields: NewJobFields): FieldErrors {
  if (newCustomer(fields).name) return {}
  return { [fields.customerName.trim() ? 'nameToNumber' : 'customerName']: t.missing.customer }
}

function faults(fields: NewJobFields): FieldErrors {
  const known = fields.customerId && customer(fields.customerId)
  return {
    ...(!known && missingName(fields)),
    ...(!fields.machineId && validateMachine(fields.machine)),
    words: !fields.words.trim() && t.missing.words,
    position: locationError(fields.customerId, fields.where),
  }
}

function save({ customerId, machineId, promised_on, words, happens_when, ...fields }: NewJobFields) {
  const { name, phone } = newCustomer(fields)
  return saveIntake({
    customer: customerId ? { id: customerId } : { name, ...(phone && { phone }) },
    machine: machineId ? { id: machineId } : toMachineFields(fields.machine),
    site: locationOf(customerId, fields.where) ?? undefined,
    ...(promised_on && { job: { promised_on } }),
    complaint: { words, happens_when },
  })
}
