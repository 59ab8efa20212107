/** The text of cells, on the screen and in a CSV. */
import { minorDigits } from '../../domain/numbers/money'
import type { Day } from '../../domain/time'
import { en } from '../../domain/words'
import { shop } from '../../store/shop'
import { format, today } from '../shopFormat'
import type { CsvField } from './csv'
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

/** What goes into the CSV: days and moments as ISO text, amounts and hours as plain decimals. */
export function cellField<Row>({ kind, value }: Column<Row>, row: Row): CsvField {
  const held = value(row)
  if (typeof held !== 'number') return held
  if (kind === 'money') return Number(`${held}e-${minorDigits(shop.value?.currency ?? 'USD')}`)
  return kind === 'hours' ? Math.round((held * 100) / 60) / 100 : held
}
