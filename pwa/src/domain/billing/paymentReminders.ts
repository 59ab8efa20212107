/** The stages in which a customer is reminded. Twin: `shopapi/billing/rules/payment_reminders.py`. */
import { type Day, daysAfter } from '../time.ts'

/** The next stage (from 1) that is still to come and its day; null after the last one. */
export function nextReminder(
  due_on: Day,
  today: Day,
  stage_days: readonly number[],
): { stage: number; on: Day } | null {
  const at = stage_days.findIndex((days) => daysAfter(due_on, days) > today)
  return at < 0 ? null : { stage: at + 1, on: daysAfter(due_on, stage_days[at] ?? 0) }
}
