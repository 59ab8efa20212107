import { type Shop, type ShopCalendar, WEEK_DAYS } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { calendar as t } from '../../../domain/words/calendar'
import { editShop, shop } from '../../../store/shop'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { MENU_WORDS } from '../../menuWords'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'

const PERCENTS = ['promise', 'risk', 'service'] as const
const DAYS = WEEK_DAYS.map((value) => ({ value, label: en.shopForm.weekDays[value] }))

export function CalendarForm() {
  const row = shop.value
  return row ? <EditCalendar row={row} /> : <NotFound />
}

const typedOf = ({ calendar }: Shop) => ({
  country: calendar.country,
  region: calendar.region,
  open_on: [...calendar.open_on],
  closed: calendar.closed.map(({ first, last, note }) => [first, last, note].join(' ').trim()).join('\n'),
  season_from: calendar.season_from,
  promise: String(calendar.promise_percent),
  risk: String(calendar.risk_percent),
  service: String(calendar.service_percent),
})

type Typed = ReturnType<typeof typedOf>

const upper = (text: string) => text.trim().toUpperCase()
const isDay = (text: string) => /^\d{4}-\d\d-\d\d$/u.test(text) && !Number.isNaN(Date.parse(text))

/** The closed days, a line each: first day, last day (or one day alone), and a note; null if one cannot be read. */
function readClosed(text: string): ShopCalendar['closed'] | null {
  const spans = text
    .split('\n')
    .filter((line) => line.trim())
    .map((line) => {
      const [first = '', next = '', ...rest] = line.trim().split(/\s+/u)
      const last = isDay(next) ? next : first
      const note = [...(last === next ? [] : [next]), ...rest].join(' ').trim()
      return isDay(first) && first <= last ? { first, last, note } : null
    })
  return spans.includes(null) ? null : spans.filter((span) => span !== null)
}

const percentOf = (text: string) =>
  /^\d{1,2}$/u.test(text.trim()) && Number(text) >= 5 ? Number(text) : null

/** On which days the shop works, and how sure its forecasts have to be. */
function EditCalendar({ row }: { row: Shop }) {
  const seen = useOriginal(`calendar:${row.id}`, row)
  const form = useForm<Typed>({
    name: `calendar:${row.id}`,
    blank: typedOf(row),
    check: (typed) => ({
      country: !/^([A-Z]{2})?$/u.test(upper(typed.country)) && t.wrongCountry,
      region: !/^[A-Z0-9]{0,3}$/u.test(upper(typed.region)) && t.wrongRegion,
      open_on: !typed.open_on.length && t.noDay,
      closed: !readClosed(typed.closed) && t.wrongClosed,
      season_from: !/^(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/u.test(typed.season_from) && t.wrongSeason,
      ...Object.fromEntries(
        PERCENTS.map((name) => [name, percentOf(typed[name]) === null && t.wrongPercent]),
      ),
    }),
    save: (typed) => {
      const closed = readClosed(typed.closed)
      const [promise, risk, service] = PERCENTS.map((name) => percentOf(typed[name]))
      if (!closed || !promise || !risk || !service) return null
      const calendar: ShopCalendar = {
        country: upper(typed.country),
        region: upper(typed.region),
        open_on: WEEK_DAYS.filter((day) => typed.open_on.includes(day)),
        closed,
        season_from: typed.season_from,
        promise_percent: promise,
        risk_percent: risk,
        service_percent: service,
      }
      return editShop(seen, { calendar })
    },
  })
  const { field, fields, errors, update } = form
  return (
    <FormPage form={form} title={MENU_WORDS.calendar.title} saveLabel={t.save}>
      <CheckboxGroup
        horizontal
        label={t.openOn}
        values={fields.open_on}
        options={DAYS}
        error={errors['open_on'] || undefined}
        onValuesChange={(open_on) => update({ open_on })}
      />
      <div class="field-pair">
        <TextField label={t.country} hint={t.countryHint} autocapitalize="characters" {...field('country')} />
        <TextField label={t.region} hint={t.regionHint} autocapitalize="characters" {...field('region')} />
      </div>
      <TextField multiline label={t.closed} hint={t.closedHint} {...field('closed')} />
      <TextField label={t.season} hint={t.seasonHint} {...field('season_from')} />
      <TextField decimal label={t.promise} {...field('promise')} />
      <TextField decimal label={t.risk} {...field('risk')} />
      <TextField decimal label={t.service} {...field('service')} />
    </FormPage>
  )
}
