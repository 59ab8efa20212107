import type { Machine } from '../contract.ts'

/** What a machine has in common with one that a part was used on, the closest first. */
export const PART_FITS = ['machine', 'model', 'engine', 'family', 'make'] as const
export type PartFit = (typeof PART_FITS)[number]

type Named = Pick<Machine, 'id' | 'make' | 'model' | 'engine_make' | 'engine_model'>

const plain = (text: string) => text.trim().toLowerCase().replace(/\s+/gu, ' ')
/** Whether two names are given and equal. */
const same = (a: string, b: string) => plain(a) !== '' && plain(a) === plain(b)

/** How close two machines are, for the question whether a part of one may fit the other; null: nothing is known. */
export function fitOf<M extends Named>(
  machine: M,
  other: M,
  familiesOf: (machine: M) => ReadonlySet<string>,
): PartFit | null {
  if (machine.id === other.id) return 'machine'
  if (same(machine.make, other.make) && same(machine.model, other.model)) return 'model'
  if (same(machine.engine_make, other.engine_make) && same(machine.engine_model, other.engine_model))
    return 'engine'
  const families = familiesOf(other)
  if ([...familiesOf(machine)].some((family) => families.has(family))) return 'family'
  return same(machine.make, other.make) ? 'make' : null
}
