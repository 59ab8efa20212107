import { parseSize } from '../../../domain/bench/fastenerSize'
import type { Commands, RemovalKind, RemovalStep } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'

/** A size with how many of it, while a step is being recorded. */
export interface SizeCount {
  size: string
  count: number
  hidden: boolean
}

/** A step as it is typed. */
export interface StepForm {
  what: string
  place: string
  kind: RemovalKind
  loosened: boolean
  bag: string
  behind_id: string
  sizes: SizeCount[]
  /** A size that is being typed and not added yet. */
  size: string
}

export const blankStep = (row?: RemovalStep): StepForm => ({
  what: row?.what ?? '',
  place: row?.place ?? '',
  kind: row?.kind ?? 'part',
  loosened: row?.loosened ?? false,
  bag: row?.bag?.toString() ?? '',
  behind_id: row?.behind_id ?? '',
  sizes: [],
  size: '',
})

export const bagFault = (bag: string): string | false =>
  bag.trim() !== '' && !/^[1-9][0-9]{0,3}$/.test(bag.trim()) && t.badBag

/** The fasteners of a step as typed; a size not added yet counts once. */
export function newFasteners({ sizes, size }: Pick<StepForm, 'sizes' | 'size'>) {
  const typed = parseSize(size) ? [...sizes, { size, count: 1, hidden: false }] : sizes
  return typed.flatMap(({ size, count, hidden }) => {
    const parsed = parseSize(size)
    return parsed && count > 0 ? [{ ...parsed, count, hidden }] : []
  })
}

/** The fields of a step as they are sent; the bag suggested is used where there is something to put into it. */
export function newStep(
  { what, place, kind, loosened, bag, behind_id, ...sizes }: StepForm,
  suggested: number | null,
): Required<Omit<Commands['record_removal'], 'id' | 'job_id' | 'taken_at' | 'fasteners' | 'position'>> {
  const automatic = !loosened && newFasteners(sizes).length > 0 ? suggested : null
  return {
    what: what.trim(),
    place: place.trim(),
    kind,
    loosened,
    bag: bag.trim() ? Number(bag) : automatic,
    behind_id: behind_id || null,
  }
}

/** One more or less of a size; one that is not there yet comes last, one of which nothing is left goes. */
export function changeCount(sizes: readonly SizeCount[], size: string, by: number): SizeCount[] {
  const known = sizes.some((each) => each.size === size)
  const next = known ? sizes : [...sizes, { size, count: 0, hidden: false }]
  return next
    .map((each) => (each.size === size ? { ...each, count: Math.min(999, each.count + by) } : each))
    .filter(({ count }) => count > 0)
}
