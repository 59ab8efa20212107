import type { ArrivesBy } from '../../../domain/contract'
import { en } from '../../../domain/words'

/** How a machine gets to the shop, for a choice. */
export const ARRIVALS = (['drop_off', 'pickup', 'visit'] as const satisfies readonly ArrivesBy[]).map(
  (value) => ({ value, label: en.arrivals[value] }),
)
