import type { Command, Limit, Machine, Sheet, SheetEntry } from '../domain/contract'
import { matchSheets, plainName, type SheetMatch } from '../domain/machines/sheetMatching'
import {
  findKept,
  type Kept,
  type KeptFrom,
  newSheetFor,
  sheetToKeepOn,
} from '../domain/machines/sheetToKeep'
import { newId } from './browser/clock'
import { type Changes, type NewRowFields, sendAdd, sendEdit, sendRemove } from './queue/commands'
import { enqueueAll } from './queue/outbox'
import { allOf, byAge, byId, compare, ownedBy } from './rows/selectors'

export const sheet = (id: string) => byId('sheet', id)
export const limit = (id: string) => byId('limit', id)
export const sheetEntry = (id: string) => byId('sheet_entry', id)
export const limitsOf = (sheet_id: string) => ownedBy('limit', 'sheet_id', sheet_id).sort(byAge)
export const entriesOf = (sheet_id: string) => ownedBy('sheet_entry', 'sheet_id', sheet_id).sort(byAge)

/** Sheets that are not archived, by title. */
export const currentSheets = (): Sheet[] =>
  allOf('sheet')
    .filter((row) => !row.archived)
    .sort((a, b) => compare(plainName(a.title), plainName(b.title)))

/** The sheets about a machine, best first, then those about its relatives. */
export const sheetsFor = (machine: Machine): SheetMatch<Sheet>[] => matchSheets(machine, currentSheets())

/** The sheets in whose words, or in the words on them, every typed word begins another; all where nothing is typed. */
export function findSheets(typed: string): Sheet[] {
  const asked = wordsIn(typed)
  return currentSheets().filter((row) => {
    const words = wordsIn(wordsOn(row))
    return asked.every((each) => words.some((word) => word.startsWith(each)))
  })
}

const wordsIn = (text: string): string[] => text.toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? []

function wordsOn({ id, title, kind, make, model, engine_make, engine_model, family, notes }: Sheet): string {
  const limits = limitsOf(id).map(({ what }) => what)
  const entries = entriesOf(id).flatMap(({ words, first, second, thread }) => [words, first, second, thread])
  const names = [title, kind, make, model, engine_make, engine_model, family, notes]
  return [...names, ...limits, ...entries].join(' ')
}

export const addSheet = (fields: NewRowFields<'add_sheet'>) => sendAdd('add_sheet', fields)
export const editSheet = (seen: Sheet, wanted: Changes<'edit_sheet'>) => sendEdit('edit_sheet', seen, wanted)
export const addLimit = (fields: NewRowFields<'add_limit'>) => sendAdd('add_limit', fields)
export const editLimit = (seen: Limit, wanted: Changes<'edit_limit'>) => sendEdit('edit_limit', seen, wanted)
export const removeLimit = (id: string) => sendRemove('remove_limit', id)
export const addSheetEntry = (fields: NewRowFields<'add_sheet_entry'>) => sendAdd('add_sheet_entry', fields)
export const editSheetEntry = (seen: SheetEntry, wanted: Changes<'edit_sheet_entry'>) =>
  sendEdit('edit_sheet_entry', seen, wanted)
export const removeSheetEntry = (id: string) => sendRemove('remove_sheet_entry', id)

/** The sheet that has this already, among those about the machine. */
export function sheetWith(kept: Kept, { machine }: KeptFrom): Sheet | undefined {
  return sheetsFor(machine)
    .filter(({ fit }) => fit === 'own')
    .find(({ sheet: { id } }) => findKept(kept, limitsOf(id), entriesOf(id)))?.sheet
}

/**
 * Keeps a limit or an entry on the sheet of a machine or its engine, which is made where there is none, in one
 * transaction. Returns the title of the sheet and what undoes it.
 */
export async function keepForNext(
  kept: Kept,
  from: KeptFrom,
): Promise<{ title: string; undo: () => Promise<unknown> }> {
  const known = sheetToKeepOn(from, currentSheets())
  const made = { id: newId(), ...newSheetFor(from) }
  const id = newId()
  const origin = { id, sheet_id: known?.id ?? made.id, machine_id: from.machine.id, job_mark: from.job_mark }
  const added: Command =
    'limit' in kept
      ? { name: 'add_limit', args: { ...kept.limit, ...origin } }
      : { name: 'add_sheet_entry', args: { ...kept.entry, ...origin } }
  await enqueueAll(known ? [added] : [{ name: 'add_sheet', args: made }, added])
  const removed: Command = { name: 'limit' in kept ? 'remove_limit' : 'remove_sheet_entry', args: { id } }
  return {
    title: known?.title ?? made.title,
    undo: () => enqueueAll(known ? [removed] : [removed, { name: 'remove_sheet', args: { id: made.id } }]),
  }
}
