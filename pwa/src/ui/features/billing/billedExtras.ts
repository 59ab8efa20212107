import type { DrivenTrip, StoredDays } from '../../../domain/billing/collecting'
import type { Job, Stop } from '../../../domain/contract'
import { daysAfter } from '../../../domain/time'
import { billedWords } from '../../../domain/words/storage'
import { customer } from '../../../store/customers'
import { storageOf } from '../../../store/storage'
import { lastBilledTrip, tripsOf } from '../../../store/trips'
import { dayOf, formatFor, today } from '../../shopFormat'

const languageOf = ({ customer_id }: Job) => customer(customer_id)?.language ?? 'en'

/** Storage as a line of the bill, in the customer's language; null where nothing is to be charged. */
export function storedDays(job: Job): StoredDays | null {
  const { terms, charge } = storageOf(job, today())
  const [told] = charge.evidence
  if (!terms || !told || !charge.due_minor) return null
  const language = languageOf(job)
  const { day, money } = formatFor(language)
  const words = billedWords[language].stored({
    days: charge.days,
    free: charge.days - charge.charged_days,
    since: day(told.on),
    through: day(daysAfter(told.on, charge.days + charge.paused_days)),
    paused: charge.paused_days > 0,
    rate: money(terms.per_day_minor),
    cap: terms.cap_minor === null ? '' : money(terms.cap_minor),
    before: charge.due_minor < charge.amount_minor ? money(charge.amount_minor - charge.due_minor) : '',
    on: day(told.on),
    how: told.channel === 'email' || told.channel === 'sms' ? told.channel : 'by_hand',
    address: told.address,
  })
  return { words, amount_minor: charge.due_minor }
}

/** A trip as the customer reads it: "Pickup, Nov 3, 2026". */
export const tripWords = (job: Job, { kind, left_at }: Stop): string =>
  billedWords[languageOf(job)].trip[kind === 'return' ? 'return' : 'pickup'](
    formatFor(languageOf(job)).day(dayOf(left_at ?? '')),
  )

/** The trips of a job that were driven, with the figures last billed for their place. */
export const drivenTrips = (job: Job): DrivenTrip[] =>
  tripsOf(job.id).map((stop) => ({
    stop_id: stop.id,
    words: tripWords(job, stop),
    ...lastBilledTrip(stop.site_id),
  }))
