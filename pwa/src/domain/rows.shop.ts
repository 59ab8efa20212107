import type { PriceBook } from './book'
import type { DecimalText } from './decimal'
import type { Kept } from './rows.kept'
import type { WeekDay } from './worked'

export type Role = 'owner' | 'office' | 'mechanic'

export interface Shop extends Kept {
  name: string
  address: string
  phone: string
  email: string
  currency: string
  zone: string
  units: 'us' | 'metric'
  paper: 'letter' | 'a4'
  locale: string
  /** The day on which the shop's weeks begin; hours of a week beyond the threshold earn the multiplier. */
  week_start: WeekDay
  overtime_after_hours: DecimalText
  overtime_multiplier: DecimalText
  book: PriceBook
  /** After so many hours a running clock is asked about. */
  clock_hours: number
  /** Mail and text messages wait from the one until the other, HH:MM on the shop's clock. */
  quiet_from: string
  quiet_until: string
  follow_ups: FollowUpDays
}

/** After, or before, how many days the shop wants to be told; null: not at all. */
export interface FollowUpDays {
  quote_unanswered: number | null
  quote_lapsing: number | null
  promised_near: number | null
  job_still: number | null
  check_in: number | null
  safety_declined: number | null
  service_due: number | null
  clock_running: boolean
  ask_owner: boolean
}

export interface Member extends Kept {
  name: string
  role: Role
  may_see_cost: boolean
  active: boolean
}
