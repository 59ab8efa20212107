/** The text of cells, on the screen and in a CSV. */
import { minorDigits, plainAmount } from '../../domain/numbers/money'
import { type Day, dayIn, type Moment, moment } from '../../domain/time'
import { en } from '../../domain/words'
import { shop } from '../../store/shop'
import type { CsvField } from '../features/tables/csv'
import { format, today, zone } from '../shopFormat'
import type { CellKind, Column } from './table'

const END: ReadonlySet<CellKind> = new Set(['money', 'hours', 'number'])

/** Whether the cells of a column stand at the end: figures do. */
export const isFigure = ({ kind = 'text' }: Pick<Column<never>, 'kind'>): boolean => END.has(kind)

/** The classes of the cells of a column. */
export function cellClass(column: Column<never>): string | undefined {
  return [isFigure(column) && 'figure', column.spare && 'spare'].filter(Boolean).join(' ') || undefined
}

/** "Fri, Nov 27" in this year, "Nov 27, 2025" in another. */
const dayText = (day: Day) =>
  day.slice(0, 4) === today().slice(0, 4) ? format.value.weekday(day) : format.value.day(day)

/** What a cell shows, without its note; what is said instead where it is empty. */
export function cellText<Row>({ kind, value, none }: Column<Row>, row: Row): string {
  const held = value(row)
  if (held === null || held === '') return none?.(row) ?? ''
  if (typeof held === 'number') {
    if (kind === 'money') return format.value.money(held)
    if (kind === 'hours') return en.clockFace.running(Math.abs(held))
    return format.value.number(String(held))
  }
  if (kind === 'day') return dayText(held)
  if (kind === 'moment') return format.value.moment(held)
  if (kind === 'time') return format.value.time(held)
  return held
}

const MINUTE_MS = 60_000

/** A moment in the shop's zone by ISO 8601, with its offset: "2026-11-29T17:05:09-07:00". */
function localMoment(at: Moment): string {
  const ms = Date.parse(at)
  const clock = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone.value,
    timeStyle: 'medium',
    numberingSystem: 'latn',
  })
  const local = `${dayIn(zone.value, ms)}T${clock.format(ms)}`
  const offset = Math.round((Date.parse(`${local}Z`) - ms) / MINUTE_MS)
  return local + (offset < 0 ? '-' : '+') + moment(Math.abs(offset) * MINUTE_MS).slice(11, 16)
}

/** What goes into the CSV: days and the shop's local moments by ISO 8601, amounts and hours as plain decimals. */
export function cellField<Row>({ kind, value }: Column<Row>, row: Row): CsvField {
  const held = value(row)
  if (held && typeof held !== 'number' && (kind === 'moment' || kind === 'time')) return localMoment(held)
  if (typeof held !== 'number') return held
  if (kind === 'money') return { amount: plainAmount(held, minorDigits(shop.value?.currency ?? 'USD')) }
  return kind === 'hours' ? Math.round((held * 100) / 60) / 100 : held
}
