import type { CountedTakings, PaymentMethod } from '../../../domain/contract'
import { daysAfter } from '../../../domain/time'
import { dayClose as t } from '../../../domain/words/dayClose'
import { paymentMethods } from '../../../domain/words/payments'
import { closedThrough, closePeriod } from '../../../store/books'
import { takingsOn } from '../../../store/owed'
import { TextField } from '../../components/Field'
import { DescriptionList, Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { format, today } from '../../shopFormat'
import { type FormState, useForm } from '../../useForm'

/** The ways of paying that are counted; the customer's credit is never in the drawer. */
const METHODS = ['cash', 'check', 'card', 'transfer', 'other'] as const satisfies readonly PaymentMethod[]
type Method = (typeof METHODS)[number]

type Fields = Record<Method, string> & { day: string; why: string }

const BLANK = { cash: '', check: '', card: '', transfer: '', other: '', why: '' }

/** Cash is always counted, the rest where something came in or is typed. */
const countedIn = (fields: Fields, expected: ReadonlyMap<PaymentMethod, number>): Method[] =>
  METHODS.filter((method) => method === 'cash' || expected.get(method) || fields[method].trim())

const difference = (fields: Fields, method: Method, expected: number): number | null => {
  const minor = fields[method].trim() ? format.value.readMoney(fields[method]) : null
  return minor === null ? null : minor - expected
}

/** Closing a day: what was taken is counted against what is there, then the books of the day are closed. */
export function DayClose() {
  const closed = closedThrough()
  const form = useForm<Fields>({
    name: 'day-close',
    blank: { ...BLANK, day: today() },
    check: (fields) => faultsOf(fields, closed),
    save: (fields) => closePeriod(fields.day, fields.why.trim(), countsOf(fields)),
    back: { at: 'books' },
    saved: t.saved,
  })
  const { fields, field } = form
  const expected = takingsOn(fields.day)
  const differs = countedIn(fields, expected).some((each) =>
    difference(fields, each, expected.get(each) ?? 0),
  )
  return (
    <FormPage form={form} title={t.title} subtitle={t.hint} saveLabel={t.save}>
      <TextField type="date" label={t.day} {...field('day')} />
      {METHODS.map((method) => (
        <Counted key={method} method={method} expected={expected.get(method) ?? 0} form={form} />
      ))}
      {differs && <TextField label={t.why} hint={t.whyHint} {...field('why')} />}
      <p class="hint">{t.after}</p>
    </FormPage>
  )
}

interface CountedProps {
  method: Method
  expected: number
  form: FormState<Fields>
}

/** One way of paying: what is expected, what is there, and the difference in words. */
function Counted({ method, expected, form }: CountedProps) {
  const { money } = format.value
  const off = difference(form.fields, method, expected)
  const said = off === null ? '' : off ? (off > 0 ? t.over(money(off)) : t.short(money(-off))) : t.even
  return (
    <Section title={paymentMethods[method]}>
      <DescriptionList items={[[t.expected, money(expected)]]} />
      <TextField decimal label={method === 'cash' ? t.inDrawer : t.counted} {...form.field(method)} />
      <p class="multiline" role="status">
        <b>{said}</b>
      </p>
    </Section>
  )
}

function faultsOf(fields: Fields, closed: string | null) {
  const expected = takingsOn(fields.day)
  const counted = countedIn(fields, expected)
  const missing = counted.filter((method) => !fields[method].trim())
  const unread = METHODS.filter(
    (each) => fields[each].trim() && format.value.readMoney(fields[each]) === null,
  )
  const off = counted.some((method) => difference(fields, method, expected.get(method) ?? 0))
  return {
    day:
      !fields.day || fields.day > today()
        ? t.dayAhead
        : closed !== null && fields.day <= closed && t.closedBefore(format.value.day(daysAfter(closed, 1))),
    ...Object.fromEntries([
      ...missing.map((each) => [each, t.missing]),
      ...unread.map((each) => [each, t.badAmount]),
    ]),
    why: off && !fields.why.trim() && t.missingWhy,
  }
}

function countsOf(fields: Fields): CountedTakings[] {
  const expected = takingsOn(fields.day)
  return countedIn(fields, expected).map((method) => ({
    method,
    expected_minor: expected.get(method) ?? 0,
    counted_minor: format.value.readMoney(fields[method]) ?? 0,
  }))
}
