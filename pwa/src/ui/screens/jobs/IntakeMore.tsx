import { en } from '../../../domain/words'
import { languageOptions } from '../../../domain/words/languages'
import { lastMeter } from '../../../store/machines'
import { TextField } from '../../components/Field'
import { More } from '../../components/More'
import { RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { CONTACT_WISHES } from '../../features/customers/contactWishes'
import { DraftPictures } from '../../features/pictures/Pictures'
import { format } from '../../shopFormat'
import { type FormPart, type FormState, fieldBinder } from '../../useForm'
import { MachineMore } from './MachineChoice'
import { MachineLocationFields } from './MachineLocationFields'
import type { ContactFormFields, NewJobFields } from './newJobFields'
import { TermsFields } from './TermsFields'
import { UrgencyFields } from './UrgencyFields'

const t = en.intake
/** The errors of fields that the first part of the form shows. */
const SHOWN_FIRST = new Set(['customerName', 'nameToNumber', 'phone', 'kind', 'make', 'model', 'words'])

interface Props {
  form: FormPart<NewJobFields> & Pick<FormState<NewJobFields>, 'field'>
  /** The form's name, under which its pictures are stored. */
  name: string
  /** The customer's name, as far as it is known. */
  customer: string
}

/** What is asked at intake besides the first questions: all of it can be left out. */
export function IntakeMore({ form, name, customer }: Props) {
  const { fields, errors, update, field } = form
  const invalid = Object.keys(errors).some((one) => errors[one] && !SHOWN_FIRST.has(one))
  const last = fields.machineId ? lastMeter(fields.machineId) : undefined
  return (
    <More label={t.more} names={t.moreNames} invalid={invalid}>
      <TextField label={t.when} hint={en.newJob.whenHint} {...field('happens_when')} />
      <UrgencyFields fields={fields} errors={errors} update={update} />
      <Section title={t.machine}>
        <TextField
          decimal
          label={t.hours}
          hint={last && en.meter.last(format.value.number(last.hours), format.value.day(last.read_on))}
          {...field('hours')}
        />
        <MachineMore fields={fields} errors={errors} update={update} />
      </Section>
      <DraftPictures form={name} title={t.plate} />
      <Section title={t.customer}>
        <ContactFields
          fields={fields.contact}
          errors={errors}
          update={(changed) => update({ contact: { ...fields.contact, ...changed } })}
        />
      </Section>
      {fields.arrives_by === 'drop_off' && (
        <MachineLocationFields
          customerId={fields.customerId}
          fields={fields.where}
          error={errors['position']}
          update={(changed) => update({ where: { ...fields.where, ...changed } })}
        />
      )}
      <Section title={en.terms.title}>
        <TermsFields
          fields={fields.terms}
          errors={errors}
          customer={customer}
          update={(changed) => update({ terms: { ...fields.terms, ...changed } })}
        />
      </Section>
    </More>
  )
}

/** Second phone, e-mail, how the customer wants to be reached and in which language. */
export function ContactFields(part: FormPart<ContactFormFields>) {
  const field = fieldBinder(part)
  return (
    <>
      <TextField label={en.customer.fields.secondPhone} type="tel" {...field('second_phone')} />
      <TextField label={en.customer.fields.email} type="email" autocapitalize="off" {...field('email')} />
      <RadioGroup horizontal label={t.wish} options={CONTACT_WISHES} {...field('contact_by')} />
      <RadioGroup
        horizontal
        label={en.customer.fields.language}
        options={languageOptions}
        {...field('language')}
      />
    </>
  )
}
