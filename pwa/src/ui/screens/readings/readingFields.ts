import { faultsOfReading, type Measured } from '../../../domain/bench/readings'
import type { Gauge, Reading, ReadingLimit } from '../../../domain/contract'
import { isAmount } from '../../../domain/machines/limits'
import { compare, exact, isDecimal } from '../../../domain/numbers/decimal'
import { UNITS } from '../../../domain/numbers/quantities'
import { measure as t } from '../../../domain/words/readings'
import { copyOfGauge, gauge } from '../../../store/gauges'
import { format } from '../../shopFormat'
import type { FieldErrors } from '../../useForm'
import { shown } from './readingText'

/** What is typed at a reading. `known`: the limit that was taken over; what is typed into its fields changes a copy. */
export interface ReadingFormFields {
  what: string
  place: string
  value: string
  goes: string
  stops: string
  unit: string
  gaugeId: string
  low: string
  high: string
  limitUnit: string
  condition: string
  manual: string
  page: string
  critical: boolean
  known: ReadingLimit | null
  secondMethod: boolean
  words: string
}

export const BLANK_READING: ReadingFormFields = {
  what: '',
  place: '',
  value: '',
  goes: '',
  stops: '',
  unit: '',
  gaugeId: '',
  low: '',
  high: '',
  limitUnit: '',
  condition: '',
  manual: '',
  page: '',
  critical: false,
  known: null,
  secondMethod: false,
  words: '',
}

/** What a calculator worked out, as the fields of a reading without a gauge. Empty where it is no measure. */
export function fieldsOfComputed(computed: string): Partial<ReadingFormFields> {
  const cut = computed.indexOf(' ')
  const [amount, unit] = [computed.slice(0, cut), computed.slice(cut + 1)]
  if (!isDecimal(amount) || !UNITS.has(unit)) return {}
  return { value: format.value.number(amount), unit, goes: '', stops: '', gaugeId: '' }
}

/** The fields of a limit as they are typed. A middle with a tolerance stays as it is in `known`. */
export function limitFields(limit: ReadingLimit | null): Partial<ReadingFormFields> {
  if (!limit)
    return {
      low: '',
      high: '',
      limitUnit: '',
      condition: '',
      manual: '',
      page: '',
      critical: false,
      known: null,
    }
  const { low, high, unit, condition, manual, page, critical } = limit
  return {
    low: shown(low ?? ''),
    high: shown(high ?? ''),
    limitUnit: unit,
    condition: condition ?? '',
    manual: manual ?? '',
    page: page ?? '',
    critical: critical ?? false,
    known: limit,
  }
}

/** A gauge that was chosen sets the unit: what it shows is what is typed. */
export function withGauge(row: Gauge | undefined): Partial<ReadingFormFields> {
  return row ? { gaugeId: row.id, unit: row.unit } : { gaugeId: '' }
}

/** A reading to take again: the same thing against the same limit, without its value. */
export function fieldsOfReading({ what, place, unit, gauge, limit }: Reading): ReadingFormFields {
  return { ...BLANK_READING, what, place, unit, gaugeId: gauge?.gauge_id ?? '', ...limitFields(limit) }
}

/** A number as typed in plain notation; the text itself where it is none, so that the check names it. */
const plain = (text: string) => (text.trim() ? (format.value.readNumber(text) ?? text.trim()) : '')

export const bladed = (fields: ReadingFormFields) => gauge(fields.gaugeId)?.kind === 'go_no_go'

/** What was typed as a reading, with the gauge as it is now. */
export function measuredOf(fields: ReadingFormFields): Measured {
  const row = gauge(fields.gaugeId)
  const blades = bladed(fields)
  return {
    value: blades ? '' : plain(fields.value),
    goes: blades ? plain(fields.goes) : '',
    stops: blades ? plain(fields.stops) : '',
    unit: fields.unit,
    gauge: row ? copyOfGauge(row) : null,
    limit: limitOf(fields),
  }
}

function limitOf(fields: ReadingFormFields): ReadingLimit | null {
  const { known, limitUnit, unit, what, critical } = fields
  const [low, high] = [plain(fields.low), plain(fields.high)]
  const key = limitUnit || unit
  const quantity = UNITS.get(key)?.quantity
  const [condition, manual, page] = [fields.condition.trim(), fields.manual.trim(), fields.page.trim()]
  const isKnown =
    known && isSame(known.low ?? '', low) && isSame(known.high ?? '', high) && known.unit === key
  if (isKnown) return { ...known, condition, manual, page, critical }
  if (!quantity || (!low && !high)) return null
  const typed = {
    quantity,
    unit: key,
    nominal: '',
    tolerance: '',
    low,
    high,
    condition,
    manual,
    page,
    critical,
  }
  // The name of a limit is never empty; without one the form is not saved.
  return { what: what.trim() || '-', ...typed, limit_id: null, version: 0 }
}

const isSame = (a: string, b: string) =>
  a === b || (!!a && !!b && isAmount(a) && isAmount(b) && compare(exact(a), exact(b)) === 0)

const FIELD_OF: Readonly<Record<string, string>> = {
  value: 'value',
  goes: 'goes',
  stops: 'stops',
  unit: 'unit',
  'gauge.unit': 'gaugeId',
  'limit.unit': 'limitUnit',
  'limit.high': 'high',
  'limit.low': 'low',
}

/** Whether what was typed can be decided: all its figures are numbers. */
export function isReadable({ value, goes, stops, limit }: Measured): boolean {
  return [value, goes, stops, limit?.low ?? '', limit?.high ?? ''].every(isAmount)
}

/** What is wrong with what was typed, by field. */
export function checkReading(fields: ReadingFormFields): FieldErrors {
  const errors: Record<string, string | false> = { what: !fields.what.trim() && t.faults.missing }
  for (const name of ['value', 'goes', 'stops', 'low', 'high'] as const)
    if (!isAmount(plain(fields[name]))) errors[name] = t.faults.not_a_number
  const measured = measuredOf(fields)
  if (!isReadable(measured)) return errors
  for (const { field, code } of faultsOfReading(measured)) {
    const name = field === 'value' && bladed(fields) ? 'goes' : (FIELD_OF[field] ?? 'high')
    errors[name] ||= t.faults[code as keyof typeof t.faults]
  }
  return errors
}

/** Whether there is a figure, and nothing wrong, so that it can be judged. */
export function isComplete(fields: ReadingFormFields): boolean {
  const measured = measuredOf(fields)
  const typed = measured.value || measured.goes || measured.stops
  return !!typed && isReadable(measured) && !Object.values(checkReading(fields)).some(Boolean)
}
