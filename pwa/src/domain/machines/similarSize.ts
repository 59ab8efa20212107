import type { Machine } from '../contract.ts'

type Measured = Pick<Machine, 'mass_kg' | 'mass_typed' | 'length_cm' | 'length_typed'>

/** What a shop has noted of machines like one. `same`: of its make and model; else of its kind, at the most. */
export interface SimilarSize {
  same: boolean
  /** How many machines it is noted of. */
  count: number
  size: Measured
}

const bare = (text: string) => text.trim().toLocaleLowerCase()
const alike = (one: Machine, other: Machine, ...fields: readonly ('kind' | 'make' | 'model')[]) =>
  fields.every((field) => bare(one[field]) !== '' && bare(one[field]) === bare(other[field]))

/**
 * Weight and length that the shop itself has noted of machines of the same make and model, else of the same kind. Of
 * several the largest of each, so that a rating is not passed by a figure that was too small; null where there is none.
 */
export function similarSize(machine: Machine, known: readonly Machine[]): SimilarSize | null {
  const measured = known.filter((each) => each.id !== machine.id && each.mass_kg !== null)
  const twins = measured.filter((each) => alike(each, machine, 'make', 'model'))
  const found = twins.length > 0 ? twins : measured.filter((each) => alike(each, machine, 'kind'))
  if (found.length === 0) return null
  const largest = (field: 'mass_kg' | 'length_cm') =>
    found.reduce((most, each) => ((each[field] ?? 0) > (most[field] ?? 0) ? each : most))
  const { mass_kg, mass_typed } = largest('mass_kg')
  const { length_cm, length_typed } = largest('length_cm')
  return {
    same: twins.length > 0,
    count: found.length,
    size: { mass_kg, mass_typed, length_cm, length_typed },
  }
}
