import type { SheetEntry, SheetEntryKind } from '../../../domain/contract'
import { isAmount } from '../../../domain/machines/limits'
import { figureText } from '../../features/sheets/sheetText'
import { torqueUnit } from '../../features/sheets/unitOptions'
import { format } from '../../shopFormat'

/** The fields of an entry as typed: numbers are text. */
export interface EntryTyped {
  kind: SheetEntryKind
  words: string
  thread: string
  length: string
  head: string
  count: string
  torque: string
  torque_unit: string
  one_use: boolean
  thread_locker: string
  hours: string
  months: string
  first: string
  second: string
}

export function typedEntry(kind: SheetEntryKind, row: SheetEntry | null): EntryTyped {
  return {
    kind,
    words: row?.words ?? '',
    thread: row?.thread ?? '',
    length: row?.length ?? '',
    head: row?.head ?? '',
    count: row?.count?.toString() ?? '',
    torque: figureText(row?.torque ?? ''),
    torque_unit: row?.torque_unit || torqueUnit(),
    one_use: row?.one_use ?? false,
    thread_locker: row?.thread_locker ?? '',
    hours: row?.hours ? figureText(row.hours) : '',
    months: row?.months?.toString() ?? '',
    first: row?.first ?? '',
    second: row?.second ?? '',
  }
}

/** The entry as the command takes it; a number that cannot be read is undefined. */
export function readEntry(typed: EntryTyped) {
  const torque = typed.torque.trim() ? readNumber(typed.torque) : ''
  return {
    ...typed,
    count: readCount(typed.count.trim(), 999),
    hours: typed.hours.trim() ? readHours(typed.hours) : null,
    months: readCount(typed.months.trim(), 240),
    torque,
    torque_unit: torque ? typed.torque_unit : '',
  }
}

function readNumber(typed: string): string | undefined {
  const read = format.value.readNumber(typed)
  return read !== null && isAmount(read) ? read : undefined
}

/** A whole number from 1; null where nothing is typed. */
function readCount(typed: string, most: number): number | null | undefined {
  if (typed === '') return null
  const count = Number(typed)
  return Number.isInteger(count) && count >= 1 && count <= most ? count : undefined
}

function readHours(typed: string): string | undefined {
  const hours = readNumber(typed)
  const isFine = /^\d{1,4}(\.\d{1,2})?$/.test(hours ?? '') && Number(hours) > 0 && Number(hours) <= 1000
  return isFine ? hours : undefined
}
