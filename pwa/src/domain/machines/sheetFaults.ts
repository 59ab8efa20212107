import type { Sheet, SheetEntry, SheetEntryKind } from '../contract.ts'
import { exact } from '../numbers/decimal.ts'
import { UNITS } from '../numbers/quantities.ts'
import type { Fault } from '../validation/fieldFaults.ts'
import { compareSerials } from './serials.ts'

/**
 * What is wrong with a sheet or an entry as a whole. Twin: `shopapi/machines/rules/sheets.py`; both run
 * `fixtures/machines/sheets.json`.
 */
const FOR_WHAT = ['kind', 'make', 'model', 'engine_make', 'engine_model', 'family'] as const

type SheetFields = Pick<Sheet, (typeof FOR_WHAT)[number] | 'serial_from' | 'serial_to'>

export function faultsOfSheet(sheet: SheetFields): Fault[] {
  const faults: Fault[] = []
  if (!FOR_WHAT.some((name) => sheet[name].trim())) faults.push({ field: 'model', code: 'sheet_for_nothing' })
  const { serial_from: from, serial_to: to } = sheet
  if (from && to && compareSerials(from, to) > 0)
    faults.push({ field: 'serial_to', code: 'serials_upside_down' })
  return faults
}

/** The fields that an entry of a kind may have besides `words`. */
export const ENTRY_FIELDS = {
  fastener: ['thread', 'length', 'head', 'count', 'torque', 'torque_unit', 'one_use', 'thread_locker'],
  operation: ['hours'],
  service: ['hours', 'months'],
  note: [],
  warning: [],
  lesson: [],
  order: ['first', 'second'],
} as const satisfies Readonly<Record<SheetEntryKind, readonly (keyof SheetEntry)[]>>

type EntryFields = Pick<SheetEntry, 'kind' | 'words' | (typeof ENTRY_FIELDS)[SheetEntryKind][number]>

const ALL_FIELDS = [...new Set(Object.values(ENTRY_FIELDS).flat())]

export function faultsOfEntry(entry: EntryFields): Fault[] {
  const own: readonly string[] = ENTRY_FIELDS[entry.kind]
  const faults = ALL_FIELDS.filter((name) => !own.includes(name) && entry[name]).map((field) => ({
    field: field as string,
    code: 'not_for_entry',
  }))
  if (entry.kind === 'order') faults.push(...orderFaults(entry))
  else if (!entry.words.trim()) faults.push({ field: 'words', code: 'missing' })
  if (entry.kind === 'service' && entry.hours === null && entry.months === null)
    faults.push({ field: 'hours', code: 'service_never' })
  return entry.kind === 'fastener' ? [...faults, ...torqueFaults(entry)] : faults
}

function orderFaults({ first, second }: EntryFields): Fault[] {
  const [before, after] = [first.trim().toLowerCase(), second.trim().toLowerCase()]
  const faults: Fault[] = []
  if (!before) faults.push({ field: 'first', code: 'missing' })
  if (!after) faults.push({ field: 'second', code: 'missing' })
  if (before && before === after) faults.push({ field: 'second', code: 'order_of_one' })
  return faults
}

function torqueFaults({ torque, torque_unit }: EntryFields): Fault[] {
  if (!torque) return []
  const unit = UNITS.get(torque_unit)
  if (!unit) return [{ field: 'torque_unit', code: 'missing' }]
  if (unit.quantity !== 'torque') return [{ field: 'torque_unit', code: 'unit_of_another_quantity' }]
  return exact(torque).n <= 0n ? [{ field: 'torque', code: 'torque_not_positive' }] : []
}
