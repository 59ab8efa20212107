/**
 * Members' hours by day of a week. Seconds throughout; only display and the rounding report round.
 *
 * Twin: `shopapi/labor/rules/week.py`.
 */
import { WORK_OF_A_JOB } from '../contract.ts'
import type { Day } from '../time.ts'
import { type ShopDay, secondsOf, splitByDay, type WorkedSpan } from './worked.ts'

const ON_JOBS = new Set<string>(WORK_OF_A_JOB)

export interface MemberWeek {
  member_id: string
  /** Seconds of each day, in the order of the days. */
  days: { on: Day; seconds: number }[]
  /** Seconds per kind, sorted by kind. */
  kinds: [kind: string, seconds: number][]
  seconds: number
}

/** The members who worked in these days, by id. */
export function memberWeeks(spans: readonly WorkedSpan[], days: readonly ShopDay[]): MemberWeek[] {
  const members = new Map<string, { kinds: Map<string, number>; days: Map<Day, number> }>()
  for (const part of splitByDay(spans, days)) {
    const { member_id, kind } = part.span
    const member = members.get(member_id) ?? { kinds: new Map(), days: new Map() }
    const seconds = secondsOf(part)
    member.kinds.set(kind, (member.kinds.get(kind) ?? 0) + seconds)
    member.days.set(part.on, (member.days.get(part.on) ?? 0) + seconds)
    members.set(member_id, member)
  }
  return [...members].sort(byName).map(([member_id, member]) => ({
    member_id,
    days: days.map(({ on }) => ({ on, seconds: member.days.get(on) ?? 0 })),
    kinds: [...member.kinds].sort(byName),
    seconds: [...member.days.values()].reduce((sum, seconds) => sum + seconds, 0),
  }))
}

/** Hours of rework per hundred hours on jobs, to one decimal place; null without hours on jobs. */
export function reworkPerHundred(kinds: readonly (readonly [string, number])[]): number | null {
  const whole = kinds.filter(([kind]) => ON_JOBS.has(kind)).reduce((sum, [, seconds]) => sum + seconds, 0)
  const again = kinds.find(([kind]) => kind === 'rework')?.[1] ?? 0
  return whole ? Math.round((1000 * again) / whole) / 10 : null
}

function byName(a: readonly [string, unknown], b: readonly [string, unknown]): number {
  return a[0] < b[0] ? -1 : 1
}
