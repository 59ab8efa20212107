/** By when parts are needed, and ordered. Twin: `shopapi/parts/rules/need_by.py`; both run `fixtures/parts/need_by.json`. */

import { LEAD_TIMES } from '../contract.ts'
import type { Day } from '../time.ts'
import { addBusinessDays, type IsOpen } from './businessDays.ts'

/** An accepted work of a job, in the order of its quote. `waits`: one of its parts has not come. */
export interface AcceptedWork {
  readonly key: string
  readonly hours: number
  readonly waits: boolean
}

/**
 * How many hours before the end each work that waits for a part must start at the latest. What waits for no part is done
 * before the parts come; the rest follows in the order of the quote, one after the other.
 */
export function hoursFrom(works: readonly AcceptedWork[]): Map<string, number> {
  const found = new Map<string, number>()
  let after = 0
  for (const { key, hours } of works.filter(({ waits }) => waits).toReversed()) {
    after += hours
    found.set(key, after)
  }
  return found
}

/** The business days that so many hours of work on one job take. */
export const inDays = (hours: number): number => Math.ceil(hours / LEAD_TIMES.hours_per_day)

/** The last day on which a part can be ordered: the promised day less the work that follows it and the lead time. */
export const latestOrderDay = (promised: Day, hours: number, leadDays: number, isOpen: IsOpen): Day | null =>
  addBusinessDays(promised, -(inDays(hours) + leadDays), isOpen)
