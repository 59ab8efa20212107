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

export interface StorageCharge {
  readonly days: number
  readonly charged_days: number
  readonly amount_minor: Minor
  readonly due_minor: Minor
  readonly free_through: Day | null
  readonly evidence: readonly ReadyNotice[]
  readonly why: WhyNoStorage | null
}

const NOTHING = { days: 0, charged_days: 0, amount_minor: 0, due_minor: 0, free_through: null }

/** The charge through a day: the one on which the machine went back, or today; null: nobody wrote down which. */
export function storageCharge(
  terms: StorageTerms | null,
  notices: readonly ReadyNotice[],
  through: Day | null,
  billed_minor: Minor = 0,
): StorageCharge {
  const evidence = notices
    .filter(({ on }) => through === null || on <= through)
    .toSorted((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0))
  if (!terms?.per_day_minor) return { ...NOTHING, evidence, why: 'not_told' }
  const [first] = evidence
  if (!first) return { ...NOTHING, evidence, why: 'not_notified' }
  const free_through = daysAfter(first.on, terms.free_days)
  if (through === null) return { ...NOTHING, free_through, evidence, why: 'day_unknown' }
  const days = daysBetween(first.on, through)
  const charged_days = Math.max(days - terms.free_days, 0)
  const amount_minor = Math.min(
    charged_days * terms.per_day_minor,
    terms.cap_minor ?? Number.POSITIVE_INFINITY,
  )
  const due_minor = Math.max(amount_minor - billed_minor, 0)
  const why = due_minor ? null : amount_minor ? 'billed' : 'free'
  return { days, charged_days, amount_minor, due_minor, free_through, evidence, why }
}
