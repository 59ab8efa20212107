import type { Customer } from '../../../domain/contract'
import { readCountry } from '../../../domain/customers/countries'
import { en } from '../../../domain/words'
import { countryWords } from '../../../domain/words/country'
import { languageOptions } from '../../../domain/words/languages'
import { editCustomer } from '../../../store/customerEdits'
import { customer } from '../../../store/customers'
import { TextField } from '../../components/Field'
import { More } from '../../components/More'
import { BooleanRadioGroup, RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { CONTACT_WISHES } from '../../features/customers/contactWishes'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'

const t = en.customer

export function CustomerForm({ id }: { id: string }) {
  const row = customer(id)
  return row ? <EditCustomer row={row} /> : <NotFound />
}

function EditCustomer({ row }: { row: Customer }) {
  const seen = useOriginal(`customer:${row.id}`, row)
  const { name, person, phone, second_phone, email, contact_by, address, country, notes, tax_exempt } = row
  const form = useForm({
    name: `customer:${row.id}`,
    blank: {
      name,
      person,
      phone,
      second_phone,
      email,
      contact_by,
      address,
      country: country ?? '',
      notes,
      tax_exempt,
      exempt_reason: row.exempt_reason,
      language: row.language ?? 'en',
    },
    check: (fields) => ({
      name: !fields.name.trim() && en.newJob.missing.customer,
      country: readCountry(fields.country) === undefined && countryWords.bad,
    }),
    save: (fields) => editCustomer(seen, { ...fields, country: readCountry(fields.country) ?? '' }),
    back: { at: 'customer', id: row.id },
  })
  const { field } = form
  return (
    <FormPage form={form} overline={row.name} title={t.editTitle} saveLabel={t.save}>
      <TextField label={t.fields.name} autocapitalize="words" {...field('name')} />
      <TextField label={t.fields.phone} type="tel" {...field('phone')} />
      <TextField label={t.fields.email} type="email" autocapitalize="off" {...field('email')} />
      <TextField multiline label={t.fields.address} {...field('address')} />
      <More label={en.intake.more} names={t.moreNames} invalid={Boolean(form.errors['country'])}>
        <TextField
          label={countryWords.label}
          hint={countryWords.hint}
          autocapitalize="characters"
          {...field('country')}
        />
        <TextField label={t.fields.person} autocapitalize="words" {...field('person')} />
        <TextField label={t.fields.secondPhone} type="tel" {...field('second_phone')} />
        <RadioGroup horizontal label={en.intake.wish} options={CONTACT_WISHES} {...field('contact_by')} />
        <RadioGroup horizontal label={t.fields.language} options={languageOptions} {...field('language')} />
        <TextField multiline label={t.fields.notes} {...field('notes')} />
        <BooleanRadioGroup
          label={t.fields.exempt}
          options={[
            [false, t.fields.exemptNo],
            [true, t.fields.exemptYes],
          ]}
          {...field('tax_exempt')}
        />
        {form.fields.tax_exempt && <TextField label={t.fields.exemptReason} {...field('exempt_reason')} />}
      </More>
    </FormPage>
  )
}
