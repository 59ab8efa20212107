import type { ArrivesBy } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { machine } from '../../../store/machines'
import { permissions } from '../../../store/session/session'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { PlacePicker, usualPlace } from '../../features/dispatch/PlacePicker'
import { BLANK_MACHINE } from '../../features/machines/MachineFields'
import { useForm } from '../../useForm'
import { ARRIVALS } from './arrivals'
import { ComebackChoice } from './ComebackChoice'
import { CustomerChoice } from './CustomerChoice'
import { IntakeMore } from './IntakeMore'
import { NO_TERMS } from './intakeTerms'
import { MachineChoice } from './MachineChoice'
import { NO_LOCATION } from './MachineLocationFields'
import { contactOf, type NewJobFields } from './newJobFields'
import { newJobErrors, personIn, saveNewJob } from './saveNewJob'
import { NO_URGENCY } from './urgency'

const t = en.newJob

const BLANK: NewJobFields = {
  ...NO_URGENCY,
  customerId: null,
  customerName: '',
  nameToNumber: '',
  phone: '',
  contact: contactOf(undefined),
  machineId: null,
  comebackOf: '',
  machine: BLANK_MACHINE,
  hours: '',
  words: '',
  happens_when: '',
  arrives_by: 'drop_off',
  where: NO_LOCATION,
  terms: NO_TERMS,
}

/** Customer, machine, complaint and how the machine gets here; all else is under More. Saved in one transaction. */
export function NewJob({ customerId, machineId }: { customerId?: string; machineId?: string }) {
  const known = customerId ?? (machineId && machine(machineId)?.customer_id) ?? null
  const name = `new-job:${machineId ?? customerId ?? ''}`
  const form = useForm<NewJobFields, { id: string; arrives_by: ArrivesBy }>({
    name,
    blank: {
      ...BLANK,
      customerId: known,
      machineId: machineId ?? null,
      contact: contactOf(known ? customer(known) : undefined),
    },
    check: newJobErrors,
    save: (fields) => saveNewJob(name, fields),
    next: ({ id, arrives_by }) =>
      (arrives_by === 'pickup' || arrives_by === 'visit') && permissions.value.has('drive_runs')
        ? { at: 'job-stop', id, kind: arrives_by }
        : { at: 'job', id },
  })
  const { fields, update, errors, field } = form
  const away = fields.arrives_by === 'pickup' || fields.arrives_by === 'visit'
  return (
    <FormPage form={form} title={t.title} saveLabel={t.save} saveHint={t.saveHint}>
      <Section title={t.customer}>
        <CustomerChoice fields={fields} update={update} errors={errors} />
      </Section>
      <Section title={t.machine}>
        <MachineChoice fields={fields} update={update} errors={errors} />
        <ComebackChoice fields={fields} update={update} />
      </Section>
      <Section title={t.wrong}>
        <TextField multiline label={t.words} {...field('words')} />
      </Section>
      <RadioGroup
        horizontal
        label={en.intake.arrival}
        options={ARRIVALS}
        value={fields.arrives_by}
        onValueChange={(arrives_by) =>
          update({
            arrives_by,
            where: {
              ...fields.where,
              open: arrives_by !== 'drop_off',
              siteId: usualPlace(fields.customerId),
            },
          })
        }
      />
      {away && (
        <PlacePicker
          customerId={fields.customerId}
          fields={fields.where}
          error={errors['position']}
          update={(changed) => update({ where: { ...fields.where, ...changed } })}
        />
      )}
      <IntakeMore form={form} name={name} customer={personIn(fields)} />
    </FormPage>
  )
}
