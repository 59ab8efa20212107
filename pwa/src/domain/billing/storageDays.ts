/** Days of storage at the customer's cost. What counts is explained in the twin, `billing/rules/storage_days.py`. */
import type { Notice } from '../contract.ts'
import type { Minor } from '../numbers/money.ts'
import { type Day, daysAfter, daysBetween } from '../time.ts'

export type WhyNoStorage = 'not_told' | 'not_notified' | 'day_unknown' | 'free' | 'billed'

/** What the customer accepted at intake; without a cap: null. */
export interface StorageTerms {
  readonly free_days: number
  readonly per_day_minor: Minor
  readonly cap_minor: Minor | null
}

/** That the customer was told that the machine is ready: on which day of the shop, how, to which address. */
export interface ReadyNotice {
  readonly on: Day
  readonly channel: Notice['channel']
  readonly address: string
}

/** From when to when a machine that was ready was worked on again; null: while it is. */
export interface ResumedDays {
  readonly from_on: Day
  readonly ready_on: Day | null
}

export interface StorageCharge {
  readonly days: number
  readonly charged_days: number
  readonly amount_minor: Minor
  readonly due_minor: Minor
  readonly free_through: Day | null
  readonly evidence: readonly ReadyNotice[]
  readonly why: WhyNoStorage | null
  /** The days between the first and the last day counted on which the count stood still. */
  readonly paused_days: number
}

const NOTHING = {
  days: 0,
  charged_days: 0,
  amount_minor: 0,
  due_minor: 0,
  free_through: null,
  paused_days: 0,
}

/** The charge through a day: the one on which the machine went back, or today; null: nobody wrote down which. */
export function storageCharge(
  terms: StorageTerms | null,
  notices: readonly ReadyNotice[],
  through: Day | null,
  { billed_minor = 0, resumed = [] }: { billed_minor?: Minor; resumed?: readonly ResumedDays[] } = {},
): StorageCharge {
  const known = notices
    .filter(({ on }) => through === null || on <= through)
    .toSorted((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0))
  if (!terms?.per_day_minor) return { ...NOTHING, evidence: known, why: 'not_told' }
  const stretches = stretchesOf(known, through, resumed)
  const [first] = stretches
  const last = stretches.at(-1)
  if (!first || !last) return { ...NOTHING, evidence: known, why: 'not_notified' }
  const evidence = known.filter(({ on }) => on >= first.told)
  const free_through = freeThrough(stretches, terms.free_days)
  if (through === null) return { ...NOTHING, free_through, evidence, why: 'day_unknown' }
  const days = stretches.reduce((sum, one) => sum + one.days, 0)
  const charged_days = Math.max(days - terms.free_days, 0)
  const amount_minor = Math.min(
    charged_days * terms.per_day_minor,
    terms.cap_minor ?? Number.POSITIVE_INFINITY,
  )
  const due_minor = Math.max(amount_minor - billed_minor, 0)
  const why = due_minor ? null : amount_minor ? 'billed' : 'free'
  const paused_days = daysBetween(first.told, last.told) + last.days - days
  return { days, charged_days, amount_minor, due_minor, free_through, evidence, why, paused_days }
}

interface Stretch {
  readonly told: Day
  readonly days: number
}

/** Each stretch of days that count: the day of the notice that begins it, and how many days follow. */
function stretchesOf(
  evidence: readonly ReadyNotice[],
  through: Day | null,
  resumed: readonly ResumedDays[],
): Stretch[] {
  const found: Stretch[] = []
  let after: Day | null = ''
  for (const until of [...resumed, null]) {
    const from: Day = after
    const told = evidence.find(({ on }) => on >= from)?.on
    if (told !== undefined && (!until || told <= until.from_on))
      found.push({ told, days: Math.max(daysBetween(told, endOf(told, through, until)), 0) })
    if (!until?.ready_on) break
    after = until.ready_on
  }
  return found
}

/** The last day of a stretch: the one before it was worked on again, or the last one of all. */
function endOf(told: Day, through: Day | null, until: ResumedDays | null): Day {
  if (!until) return through ?? told
  const before = daysAfter(until.from_on, -1)
  return through !== null && through < before ? through : before
}

function freeThrough(stretches: readonly Stretch[], free_days: number): Day | null {
  let left = free_days
  for (const { told, days } of stretches.slice(0, -1)) {
    if (left <= days) return daysAfter(told, left)
    left -= days
  }
  const last = stretches.at(-1)
  return last ? daysAfter(last.told, left) : null
}
