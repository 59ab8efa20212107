import type { Shop } from '../../../domain/contract'
import { WEEK_DAYS } from '../../../domain/contract'
import { plainDecimal } from '../../../domain/numbers/decimal'
import { en } from '../../../domain/words'
import { noBypassSetting } from '../../../domain/words/safetyItems'
import { leadsSetUp } from '../../../store/setUp'
import { editShop, shop } from '../../../store/shop'
import { SelectField, TextField } from '../../components/Field'
import { BooleanRadioGroup, RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { type FormState, useForm } from '../../useForm'

const t = en.shopForm

export function ShopForm() {
  const row = shop.value
  return row ? <EditShop row={row} /> : <NotFound />
}

const CLOCK_HOURS = [4, 6, 8, 9, 10, 11, 12, 14, 16]

function toShopFormFields(row: Shop) {
  const { name, address, phone, email, paper_size, units, locale, week_start, clock_hours, no_bypass } = row
  return {
    name,
    address,
    phone,
    email,
    paper_size,
    units,
    locale,
    week_start,
    clock_hours,
    no_bypass,
    overtime_after_hours: format.value.number(row.overtime_after_hours),
    overtime_multiplier: format.value.number(row.overtime_multiplier),
  }
}

type ShopFormFields = ReturnType<typeof toShopFormFields>

const readHours = (text: string) => numberWithin(text, 1, 168)
const readTimes = (text: string) => numberWithin(text, 1, 9)

/** Name and address on documents, and the shop's locale. */
function EditShop({ row }: { row: Shop }) {
  const seen = useOriginal(`shop:${row.id}`, row)
  const form = useForm({
    name: `shop:${row.id}`,
    blank: toShopFormFields(row),
    check: (fields) => ({
      name: !fields.name.trim() && t.missingName,
      locale: !isLocale(fields.locale) && t.missingLocale,
      overtime_after_hours: readHours(fields.overtime_after_hours) === null && t.missingHours,
      overtime_multiplier: readTimes(fields.overtime_multiplier) === null && t.missingTimes,
    }),
    save: (fields) => {
      const overtime_after_hours = readHours(fields.overtime_after_hours)
      const overtime_multiplier = readTimes(fields.overtime_multiplier)
      if (overtime_after_hours === null || overtime_multiplier === null) return null
      return editShop(seen, { ...fields, overtime_after_hours, overtime_multiplier })
    },
    ...(leadsSetUp() && { back: { at: 'today' } }),
  })
  const { field } = form
  return (
    <FormPage form={form} title={en.settings.company} saveLabel={t.save}>
      <TextField label={t.name} {...field('name')} />
      <TextField multiline label={t.address} {...field('address')} />
      <TextField type="tel" label={t.phone} {...field('phone')} />
      <TextField type="email" label={t.email} autocapitalize="off" {...field('email')} />
      <RadioGroup
        horizontal
        label={t.paper_size}
        options={[
          { value: 'letter', label: t.letter },
          { value: 'a4', label: t.a4 },
        ]}
        {...field('paper_size')}
      />
      <RadioGroup
        horizontal
        label={t.units}
        options={[
          { value: 'us', label: t.us },
          { value: 'metric', label: t.metric },
        ]}
        {...field('units')}
      />
      <TextField label={t.locale} hint={t.localeHint} autocapitalize="off" {...field('locale')} />
      <BooleanRadioGroup
        label={noBypassSetting.label}
        options={[
          [false, noBypassSetting.off],
          [true, noBypassSetting.on],
        ]}
        {...field('no_bypass')}
      />
      <TimeFields form={form} />
    </FormPage>
  )
}

/** Start of the week, the limit for forgotten clocks, and overtime. */
function TimeFields({ form: { fields, update, field } }: { form: FormState<ShopFormFields> }) {
  return (
    <>
      <SelectField
        label={t.weekStart}
        value={fields.week_start}
        options={WEEK_DAYS.map((day) => [day, t.weekDays[day]])}
        onValueChange={(day) =>
          update({ week_start: WEEK_DAYS.find((each) => each === day) ?? fields.week_start })
        }
      />
      <SelectField
        label={en.clock.hoursSetting}
        value={String(fields.clock_hours)}
        options={CLOCK_HOURS.map((hours) => [String(hours), en.clock.hours(hours)])}
        onValueChange={(hours) => update({ clock_hours: Number(hours) })}
      />
      <TextField decimal label={t.overtimeAfter} hint={t.overtimeHint} {...field('overtime_after_hours')} />
      <TextField decimal label={t.overtimeTimes} {...field('overtime_multiplier')} />
    </>
  )
}

/** Parses a number with at most two decimals, as plain text for the server; null outside the limits. */
function numberWithin(typed: string, least: number, most: number): string | null {
  const decimal = format.value.readNumber(typed)
  if (decimal === null || !/^\d+(\.\d{1,2})?$/u.test(decimal)) return null
  return Number(decimal) >= least && Number(decimal) <= most ? plainDecimal(decimal) : null
}

function isLocale(text: string): boolean {
  try {
    return Intl.getCanonicalLocales(text).length === 1
  } catch {
    return false
  }
}
