import type { Limit, Sheet, SheetEntry } from '../../../domain/contract'
import { unitSymbol } from '../../../domain/numbers/quantities'
import { sheets as t } from '../../../domain/words/sheets'
import { format } from '../../shopFormat'

/** A figure as typed, zeros at its end included, with the shop's decimal mark. */
export const figureText = (typed: string): string =>
  typed.replace('.', format.value.number('1.5').charAt(1)).replace('-', '−')

/** "0.016 in ± 0.008 in", "0.2 to 0.3 mm", "at least 3 mm". */
export function limitText(limit: Pick<Limit, 'unit' | 'nominal' | 'tolerance' | 'low' | 'high'>): string {
  const { nominal, tolerance, low, high } = limit
  const unit = unitSymbol(limit.unit)
  const withUnit = (typed: string) => `${figureText(typed)} ${unit}`
  if (nominal && tolerance) return `${withUnit(nominal)} ± ${withUnit(tolerance)}`
  return [nominal && withUnit(nominal), rangeText(low, high, unit)].filter(Boolean).join(', ')
}

function rangeText(low: string, high: string, unit: string): string {
  if (low && high) return `${figureText(low)} – ${figureText(high)} ${unit}`
  if (low) return t.least(`${figureText(low)} ${unit}`)
  return high && t.most(`${figureText(high)} ${unit}`)
}

/** Where a limit comes from: a page of a manual, a job, or neither. */
export function limitSource({ manual, page, job_mark }: Pick<Limit, 'manual' | 'page' | 'job_mark'>): string {
  if (manual || page) return t.printed(manual, page)
  return job_mark ? t.fromJob(job_mark) : t.noSource
}

/** What a limit is about besides its figures, in one line. */
export const limitDetails = (limit: Limit): string =>
  [limit.condition, limit.critical && t.limit.critical, limitSource(limit)].filter(Boolean).join(' · ')

/** The title of an entry in its list. */
export const entryTitle = ({ kind, words, first, second }: SheetEntry): string =>
  kind === 'order' ? t.entry.before(first, second) : words

/** What is at the end of the row of an entry. */
export function entryValue({ kind, hours, months, count, thread }: SheetEntry): string {
  if (kind === 'service') return serviceText({ hours, months })
  if (kind === 'operation') return hours ? t.entry.hoursOf(format.value.number(hours)) : ''
  return count ? t.entry.times(count, thread) : thread
}

/** "50 h or 12 months". */
export const serviceText = ({ hours, months }: Pick<SheetEntry, 'hours' | 'months'>): string =>
  [hours && t.entry.hoursOf(format.value.number(hours)), months && t.entry.monthsOf(months)]
    .filter(Boolean)
    .join(t.entry.or)

export function entryDetails(entry: SheetEntry): string {
  const { kind, words, length, head, torque, torque_unit, one_use, thread_locker, job_mark } = entry
  const parts = [
    kind === 'order' && words,
    length,
    head,
    torque && `${figureText(torque)} ${unitSymbol(torque_unit)}`,
    one_use && t.entry.oneUse,
    thread_locker,
    job_mark && t.fromJob(job_mark),
  ]
  return parts.filter(Boolean).join(' · ')
}

/** What a sheet is about, without what its title says: "garden tractor Hartvale GT 18, serial 700 and later". */
export function aboutText(sheet: Sheet): string {
  const { title, kind, make, model, engine_make, engine_model, family, serial_from, serial_to } = sheet
  const joined = (...parts: string[]) => parts.filter(Boolean).join(' ')
  const untitled = (name: string) => (name === title ? '' : name)
  const names = [
    joined(kind, untitled(joined(make, model))),
    untitled(joined(engine_make, engine_model)),
    untitled(family),
  ]
  const serials = serial_from || serial_to ? t.serials(serial_from, serial_to) : ''
  return [...names, serials].filter(Boolean).join(' · ')
}
