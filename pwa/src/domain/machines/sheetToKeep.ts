import type { Commands, Limit, Machine, Sheet, SheetEntry } from '../contract.ts'
import { matchSheets, plainName } from './sheetMatching.ts'

/** Where an entry comes from and what it is about: the machine as a whole, or its engine. */
export interface KeptFrom {
  machine: Machine
  /** The number of the job that taught it; empty where none did. */
  job_mark: string
  about?: 'machine' | 'engine' | undefined
}

type Origin = 'id' | 'sheet_id' | 'machine_id' | 'job_mark'
/** What is kept for the next machine of its kind. */
export type Kept =
  | { limit: Omit<Commands['add_limit'], Origin> }
  | { entry: Omit<Commands['add_sheet_entry'], Origin> }

/** The sheet on which an entry is kept: the best one that names the model of the machine, or of its engine. */
export function sheetToKeepOn({ machine, about }: KeptFrom, sheets: readonly Sheet[]): Sheet | undefined {
  const [make, model] = namesOf(about)
  const isNamed = Boolean(plainName(machine[model]))
  return matchSheets(machine, sheets).find(
    ({ sheet, fit }) =>
      fit === 'own' &&
      (isNamed ? Boolean(sheet[model]) : !sheet.model && !sheet.engine_model && named(sheet, machine, make)),
  )?.sheet
}

const namesOf = (about: KeptFrom['about']) =>
  about === 'engine' ? (['engine_make', 'engine_model'] as const) : (['make', 'model'] as const)

const named = (sheet: Sheet, machine: Machine, make: 'make' | 'engine_make') =>
  plainName(sheet[make]) === plainName(machine[make])

/** A new sheet for an entry, named after the machine or its engine. */
export function newSheetFor({ machine, about }: KeptFrom): Omit<Commands['add_sheet'], 'id'> {
  const { kind, make, model, engine_make, engine_model } = machine
  const titled = (...names: string[]) => (names.filter(Boolean).join(' ') || kind).slice(0, 120)
  if (about === 'engine' && (engine_make || engine_model))
    return { title: titled(engine_make, engine_model), engine_make, engine_model }
  return { title: titled(make, model), kind, make, model }
}

/** The same entry where a sheet has it already, so that nothing is kept twice. */
export function findKept(
  kept: Kept,
  limits: readonly Limit[],
  entries: readonly SheetEntry[],
): Limit | SheetEntry | undefined {
  if ('limit' in kept)
    return limits.find(
      (row) => plainName(row.what) === plainName(kept.limit.what) && row.unit === kept.limit.unit,
    )
  const { kind, words = '', first = '', second = '' } = kept.entry
  return entries.find(
    (row) =>
      row.kind === kind &&
      plainName(row.words) === plainName(words) &&
      plainName(row.first) === plainName(first) &&
      plainName(row.second) === plainName(second),
  )
}
