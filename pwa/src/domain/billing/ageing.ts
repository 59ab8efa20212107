/** The age of what is owed, by days past the due day. Twin: `shopapi/billing/rules/ageing.py`. */
import { type Day, daysBetween } from '../time.ts'

export type AgeBucket = 'current' | 'days_30' | 'days_60' | 'days_90' | 'over_90' | 'credit'

/** Not due yet, 1 to 30 days late, 31 to 60, 61 to 90, more; `credit`: what the shop owes the customer. */
export const BUCKETS: readonly AgeBucket[] = ['current', 'days_30', 'days_60', 'days_90', 'over_90', 'credit']

const LAST_DAYS: readonly (readonly [number, AgeBucket])[] = [
  [0, 'current'],
  [30, 'days_30'],
  [60, 'days_60'],
  [90, 'days_90'],
]

/** The bucket of what is open of one invoice, or of a credit below zero. The due day itself is not late. */
export function bucketOf(due_on: Day | null, minor: number, today: Day): AgeBucket {
  if (minor < 0) return 'credit'
  const late = due_on === null ? 0 : daysBetween(due_on, today)
  return LAST_DAYS.find(([last]) => late <= last)?.[1] ?? 'over_90'
}
