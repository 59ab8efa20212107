import { type OrderBy, type Supplier, WEEK_DAYS } from '../../../domain/contract'
import { readPair, typedPair } from '../../../domain/geo/places'
import { en } from '../../../domain/words'
import { orderBy, supplierWords as t } from '../../../domain/words/parts'
import { addSupplier, editSupplier, supplier } from '../../../store/suppliers'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { TextField } from '../../components/Field'
import { BooleanRadioGroup, RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { PositionField } from '../../features/dispatch/PositionField'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { type FormState, useForm } from '../../useForm'

const WAYS = (Object.keys(orderBy) as OrderBy[]).map((value) => ({ value, label: orderBy[value] }))
const BACK = { at: 'suppliers' } as const

export function NewSupplier() {
  return <SupplierForm seen={null} />
}

export function ChangeSupplier({ id }: { id: string }) {
  const row = supplier(id)
  const seen = useOriginal(`supplier:${id}`, row)
  return row && seen ? <SupplierForm seen={seen} /> : <NotFound />
}

const fieldsOf = (seen: Supplier | null) => ({
  name: seen?.name ?? '',
  email: seen?.email ?? '',
  phone: seen?.phone ?? '',
  website: seen?.website ?? '',
  number: seen?.customer_number ?? '',
  orderBy: seen?.order_by ?? ('mail' as OrderBy),
  days: seen?.lead_days == null ? '' : String(seen.lead_days),
  note: seen?.note ?? '',
  archived: seen?.archived ?? false,
  address: seen?.address ?? '',
  place: typedPair(seen),
  opens: seen?.opens ?? '',
  closes: seen?.closes ?? '',
  openOn: [...(seen?.open_on ?? [])],
  minutes: seen?.stop_minutes == null ? '' : String(seen.stop_minutes),
})

type Fields = ReturnType<typeof fieldsOf>

/** Where and when parts are fetched there, as the command takes it. */
const placeOf = ({ address, place, opens, closes, openOn, minutes }: Fields) => ({
  address: address.trim(),
  ...(readPair(place) ?? { lat: null, lon: null }),
  opens,
  closes,
  open_on: WEEK_DAYS.filter((day) => openOn.includes(day)),
  stop_minutes: minutes.trim() ? Number(minutes) : null,
})

/** Twin of `faults_of_supplier` in `shopapi/parts/rules/suppliers.py`. */
const placeErrors = ({ place, opens, closes, minutes }: Fields) => ({
  place: place.trim() !== '' && !readPair(place) && t.badPlace,
  closes: (Boolean(opens) !== Boolean(closes) || (opens !== '' && closes <= opens)) && t.badHours,
  minutes:
    minutes.trim() !== '' &&
    !(/^\d{1,3}$/u.test(minutes.trim()) && isStopLength(Number(minutes))) &&
    t.badMinutes,
})

const isStopLength = (minutes: number) => minutes >= 1 && minutes <= 720

const isDays = (text: string) => !text.trim() || (/^\d{1,3}$/u.test(text.trim()) && Number(text) <= 365)

function SupplierForm({ seen }: { seen: Supplier | null }) {
  const form = useForm<Fields>({
    name: `supplier:${seen?.id ?? 'new'}`,
    blank: fieldsOf(seen),
    check: (fields) => ({
      name: !fields.name.trim() && t.missingName,
      days: !isDays(fields.days) && t.badDays,
      ...placeErrors(fields),
    }),
    save: (fields) => {
      const { name, email, phone, website, number, orderBy: order_by, days, note, archived } = fields
      const row = {
        ...placeOf(fields),
        name: name.trim(),
        email: email.trim(),
        phone: phone.trim(),
        website: website.trim(),
        customer_number: number.trim(),
        order_by,
        lead_days: days.trim() ? Number(days) : null,
        note: note.trim(),
        archived,
      }
      return seen ? editSupplier(seen, row) : addSupplier(row)
    },
    back: BACK,
  })
  const { field } = form
  return (
    <FormPage form={form} title={seen ? t.editTitle : t.newTitle} saveLabel={t.save}>
      <TextField label={t.name} autocapitalize="words" {...field('name')} />
      <TextField type="tel" label={t.phone} {...field('phone')} />
      <TextField type="email" label={t.email} {...field('email')} />
      <RadioGroup label={t.orderBy} options={WAYS} {...field('orderBy')} />
      <TextField decimal label={t.leadDays} hint={t.leadDaysHint} {...field('days')} />
      <TextField label={t.customerNumber} autocapitalize="characters" {...field('number')} />
      <TextField label={t.website} autocapitalize="off" {...field('website')} />
      <TextField multiline label={t.note} {...field('note')} />
      <FetchingFields form={form} />
      {seen && (
        <BooleanRadioGroup
          horizontal
          label={t.archived}
          options={[
            [false, t.used],
            [true, t.unused],
          ]}
          {...field('archived')}
        />
      )}
    </FormPage>
  )
}

/** Where it is and when it is open, for stops on a run. */
function FetchingFields({ form }: { form: FormState<Fields> }) {
  const { field, fields, update } = form
  return (
    <Section title={t.fetching} hint={t.fetchingHint}>
      <TextField multiline label={t.address} {...field('address')} />
      <PositionField {...field('place')} />
      <div class="two-columns">
        <TextField type="time" label={t.opens} {...field('opens')} />
        <TextField type="time" label={t.closes} {...field('closes')} />
      </div>
      <CheckboxGroup
        horizontal
        label={t.openOn}
        values={fields.openOn}
        options={WEEK_DAYS.map((value) => ({ value, label: en.shopForm.weekDays[value] }))}
        onValuesChange={(openOn) => update({ openOn })}
      />
      <TextField decimal label={t.stopMinutes} {...field('minutes')} />
    </Section>
  )
}
