import type { FollowUp } from '../domain/contract'
import { type Day, daysAfter } from '../domain/time'
import { enqueue } from './queue/outbox'
import { allOf, compare } from './rows/selectors'

/** Follow-ups due by a day, the longest due first, without those put off beyond it. */
export const followUpsDue = (day: Day): FollowUp[] =>
  allOf('follow_up')
    .filter((row) => row.state === 'open' && (row.until ?? row.due_on) <= day)
    .sort((a, b) => compare(a.due_on, b.due_on) || compare(a.id, b.id))

/** Puts it off by days from today. Returns the undo. */
export async function postponeFollowUp(
  id: string,
  today: Day,
  days: number,
): Promise<() => Promise<unknown>> {
  await enqueue('put_off_follow_up', { id, until: daysAfter(today, days) })
  return () => enqueue('take_up_follow_up', { id })
}

/** Drops it for good. Returns the undo. */
export async function dropFollowUp(id: string): Promise<() => Promise<unknown>> {
  await enqueue('drop_follow_up', { id })
  return () => enqueue('take_up_follow_up', { id })
}
