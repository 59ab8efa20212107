import {
  type ReadyNotice,
  type ResumedDays,
  type StorageCharge,
  type StorageTerms,
  storageCharge,
} from '../domain/billing/storageDays'
import type { Job } from '../domain/contract'
import { type Day, dayIn } from '../domain/time'
import { stopsOfJob } from './dispatch'
import { intakeTermsOf } from './intake'
import { invoicesOf, linesOfInvoice } from './invoices'
import { noticesAbout } from './notices'
import { compare } from './rows/selectors'
import { shop } from './shop'

/** The kind of message that says that a machine is ready. */
export const READY_NOTICE = 'machine_ready'
const DONE: ReadonlySet<Job['stage']> = new Set(['ready', 'returned', 'closed'])

/** Whether the work on a machine is done, so that storage may count. */
export const isDone = ({ stage }: Job): boolean => DONE.has(stage)

const dayOfShop = (at: string): Day => dayIn(shop.value?.zone ?? 'UTC', Date.parse(at))

/**
 * What was told of storage at the intake of a job, and what it comes to through today or the day on which the machine
 * went back. The rules are those of `shopapi/billing/queries/storage.py`.
 */
export function storageOf(job: Job, today: Day): { terms: StorageTerms | null; charge: StorageCharge } {
  const terms = termsOf(job.id)
  const notices = readyNotices(job)
  const more = { billed_minor: billedOn(job.id), resumed: resumedDays(job) }
  return { terms, charge: storageCharge(terms, notices, through(job, notices, today), more) }
}

/** The days on which a machine that was ready was worked on again; a row of an older server has none. */
const resumedDays = ({ resumed_work = [] }: Partial<Job>): ResumedDays[] =>
  resumed_work.map(({ from_at, ready_at }) => ({
    from_on: dayOfShop(from_at),
    ready_on: ready_at && dayOfShop(ready_at),
  }))

function termsOf(job_id: string): StorageTerms | null {
  const told = intakeTermsOf(job_id)
    .filter(({ storage_per_day_minor }) => storage_per_day_minor !== null)
    .sort((a, b) => compare(a.accepted_at, b.accepted_at) || compare(a.id, b.id))
    .at(-1)
  if (!told) return null
  const { storage_free_days, storage_per_day_minor, storage_cap_minor } = told
  return {
    free_days: storage_free_days ?? 0,
    per_day_minor: storage_per_day_minor ?? 0,
    cap_minor: storage_cap_minor ?? null,
  }
}

/** The notices that the machine is ready which were sent; none while the job is being worked on (again). */
function readyNotices(job: Job): ReadyNotice[] {
  if (!isDone(job)) return []
  return noticesAbout([job.id])
    .filter(({ template, state }) => template === READY_NOTICE && state === 'sent')
    .sort((a, b) => compare(a.sent_at ?? '', b.sent_at ?? '') || compare(a.id, b.id))
    .flatMap(({ sent_at, channel, address }) =>
      sent_at ? [{ on: dayOfShop(sent_at), channel, address }] : [],
    )
}

/** The day of the last return since the first notice; today while it waits; null: it left, and no day is known. */
function through(job: Job, [first]: readonly ReadyNotice[], today: Day): Day | null {
  const backs = stopsOfJob(job.id).flatMap(({ kind, state, left_at }) =>
    kind === 'return' && state === 'left' && left_at ? [left_at] : [],
  )
  const last = backs.sort(compare).at(-1)
  const went = last && dayOfShop(last)
  if (went && first && went >= first.on) return went
  return job.stage === 'ready' ? today : null
}

function billedOn(job_id: string): number {
  return invoicesOf(job_id)
    .filter(({ kind, state }) => kind === 'invoice' && state !== 'cancelled')
    .flatMap(({ id }) => linesOfInvoice(id))
    .reduce((sum, { source, fixed_minor }) => sum + (source === 'storage' ? (fixed_minor ?? 0) : 0), 0)
}
