import type { Machine, Sheet } from '../contract.ts'
import { isSerialBetween } from './serials.ts'

/**
 * Why a sheet is shown for a machine. own: about this machine or its engine. serials: about the same model with other
 * serial numbers. family: about a relative, by the family of the sheet. make: about another one of the same make.
 */
export type SheetFit = 'own' | 'serials' | 'family' | 'make'

type Named = Pick<Machine, 'kind' | 'make' | 'model' | 'engine_make' | 'engine_model'>
export type MachineNames = Named & Pick<Machine, 'serial' | 'engine_serial'>
export type SheetNames = Named & Pick<Sheet, 'title' | 'family' | 'serial_from' | 'serial_to'>

/** `serialUnknown`: the sheet is for a range of serial numbers, and the machine's is not known. */
export interface SheetMatch<S> {
  sheet: S
  fit: SheetFit
  serialUnknown: boolean
}

const FITS: readonly SheetFit[] = ['own', 'serials', 'family', 'make']
/** How much an equal name says; a higher sum comes first. */
const WEIGHTS = { model: 16, engine_model: 8, make: 4, engine_make: 2, kind: 1 } as const
const NAMES = Object.keys(WEIGHTS) as (keyof typeof WEIGHTS)[]

/**
 * The sheets about a machine, the one that names most of it first, then those about its relatives. Twin: `match_sheets`
 * in `shopapi/machines/rules/sheet_matching.py`; both run `fixtures/machines/sheet_matching.json`.
 */
export function matchSheets<S extends SheetNames>(
  machine: MachineNames,
  sheets: readonly S[],
): SheetMatch<S>[] {
  const own = new Set(sheets.filter((sheet) => namesFit(machine, sheet) && serialFits(machine, sheet)))
  const families = new Set([...own].map(({ family }) => plainName(family)).filter(Boolean))
  return sheets
    .flatMap((sheet, index) => {
      const fit = own.has(sheet) ? 'own' : kinship(machine, sheet, families)
      if (!fit) return []
      const serialUnknown = fit === 'own' && hasRange(sheet) && !plainName(serialFor(machine, sheet))
      return [{ sheet, fit, serialUnknown, index }]
    })
    .sort(
      (a, b) =>
        FITS.indexOf(a.fit) - FITS.indexOf(b.fit) ||
        weightOf(b) - weightOf(a) ||
        compareText(plainName(a.sheet.title), plainName(b.sheet.title)) ||
        a.index - b.index,
    )
    .map(({ sheet, fit, serialUnknown }) => ({ sheet, fit, serialUnknown }))
}

/** A name without what differs between two spellings of it: "GT-18 " is "gt18". */
export const plainName = (name: string): string => name.replace(/[^\p{L}\p{N}]/gu, '').toLowerCase()

const compareText = (a: string, b: string) => (a === b ? 0 : a < b ? -1 : 1)

function weightOf<S extends SheetNames>({ sheet, fit, serialUnknown }: SheetMatch<S>): number {
  if (fit !== 'own') return 0
  const named = NAMES.reduce((sum, name) => sum + (sheet[name] ? WEIGHTS[name] : 0), 0)
  return 2 * named + (hasRange(sheet) && !serialUnknown ? 1 : 0)
}

const hasRange = (sheet: SheetNames): boolean => Boolean(sheet.serial_from || sheet.serial_to)

/** The serial number that a sheet's range is about: the engine's where the sheet names an engine alone. */
function serialFor(machine: MachineNames, sheet: SheetNames): string {
  const aboutEngine = (sheet.engine_make || sheet.engine_model) && !(sheet.make || sheet.model)
  return aboutEngine ? machine.engine_serial : machine.serial
}

/** Whether all that a sheet names is equal to what the machine has; a sheet that names nothing fits none. */
function namesFit(machine: Named, sheet: SheetNames): boolean {
  const wanted = NAMES.filter((name) => plainName(sheet[name]))
  return wanted.length > 0 && wanted.every((name) => plainName(sheet[name]) === plainName(machine[name]))
}

function serialFits(machine: MachineNames, sheet: SheetNames): boolean {
  const serial = serialFor(machine, sheet)
  return !plainName(serial) || isSerialBetween(serial, sheet.serial_from, sheet.serial_to)
}

function kinship(
  machine: MachineNames,
  sheet: SheetNames,
  families: ReadonlySet<string>,
): SheetFit | undefined {
  if (namesFit(machine, sheet)) return 'serials'
  if (families.has(plainName(sheet.family)) || isOfFamily(machine, sheet.family)) return 'family'
  const makes = [machine.make, machine.engine_make].map(plainName).filter(Boolean)
  return [sheet.make, sheet.engine_make].map(plainName).some((make) => makes.includes(make))
    ? 'make'
    : undefined
}

const wordsOf = (text: string): string[] => text.toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? []

/** Whether all words of a family's name are in the names of the machine and its engine. */
function isOfFamily({ make, model, engine_make, engine_model }: Named, family: string): boolean {
  const names = wordsOf(`${make} ${model} ${engine_make} ${engine_model}`)
  const wanted = wordsOf(family)
  return wanted.length > 0 && wanted.every((word) => names.includes(word))
}
