import type { Customer, FollowUp, Job } from '../../../domain/contract'
import { isPendingStop } from '../../../domain/dispatch/runs'
import { shownName } from '../../../domain/provisionalMarks'
import { type Day, dayIn, daysBetween } from '../../../domain/time'
import { en } from '../../../domain/words'
import { waits as t } from '../../../domain/words/waits'
import { offeredQuoteFor, openQuestions } from '../../../store/approvalRequests'
import { customer } from '../../../store/customers'
import { stopPosition, stopsOfJob, stopsWaiting } from '../../../store/dispatch'
import { openSafetyOf, whyOpen } from '../../../store/findings'
import { openIssues } from '../../../store/issues'
import { job, openJobs } from '../../../store/jobs'
import { partNeedsOf } from '../../../store/partNeeds'
import { quote, quotesOf } from '../../../store/quotes'
import { allOf } from '../../../store/rows/selectors'
import { memberName } from '../../names'
import type { Route } from '../../router'
import { today, zone } from '../../shopFormat'
import { isPastDue, jobSection, whyListed } from '../jobs/jobSections'
import { followUpsHere } from '../messages/FollowUpsDue'

export type WaitsOn = keyof typeof t.columns

/** One line of "what waits on whom". */
export interface Wait {
  /** The item: a job, however many reasons it has, or a row that belongs to none. */
  readonly id: string
  readonly on: WaitsOn
  readonly who: string
  readonly why: string
  /** The number of the job. */
  readonly mark?: string
  /** The day since when, or that it was promised for; null where that is not known. */
  readonly since: Day | null
  readonly late?: boolean
  readonly to?: Route
  /** Its follow-up, with what can be done about it. */
  readonly followUp?: FollowUp
}

const dayOf = (moment: string): Day => dayIn(zone.value, Date.parse(moment))
const nameOf = (row: Customer | undefined) => row?.name || en.app.noName

/** A line about a job. */
function about(row: Job, on: WaitsOn, why: string, since: Day | null, to?: Route): Wait {
  return {
    id: row.id,
    on,
    who: nameOf(customer(row.customer_id)),
    why,
    mark: shownName(row),
    since,
    to: to ?? { at: 'job', id: row.id },
  }
}

/** Safety findings without an answer, or declined without a record that the customer knows what that means. */
function safety(row: Job): Wait[] {
  return openSafetyOf(row.id).map((finding) => {
    const since = dayOf(finding.created_at)
    if (finding.decided === 'accepted') return about(row, 'us', t.reasons.safetyRepair, since)
    if (whyOpen(finding) === 'unacknowledged') return about(row, 'us', t.reasons.safetyKnown, since)
    const offered = quote(offeredQuoteFor(finding) ?? '')
    return offered
      ? about(row, 'customers', t.reasons.safetyAnswer, dayOf(offered.offered_at ?? offered.changed_at))
      : about(row, 'us', t.reasons.safetyQuote, since)
  })
}

function questions(): Wait[] {
  return openQuestions().flatMap((asked) => {
    const row = job(quote(asked.quote_id)?.job_id ?? '')
    return row
      ? [about(row, 'us', t.reasons.question, dayOf(asked.asked_at), { at: 'quote', id: asked.quote_id })]
      : []
  })
}

/** Stops that nobody can be sent to yet: without a position, or on no run. */
function stops(): Wait[] {
  return stopsWaiting.value.flatMap((stop) => {
    const row = job(stop.job_id ?? '')
    const why = stopPosition(stop) === null ? t.reasons.noPosition : t.reasons.stop
    return row ? [about(row, 'us', why, dayOf(stop.created_at), { at: 'stop', id: stop.id })] : []
  })
}

const offeredOn = (row: Job) => quotesOf(row.id).filter(({ state }) => state === 'offered')

/** Parts to order wait on the shop, those on their way on others. */
function partWait(row: Job): Wait {
  const toOrder = partNeedsOf(row.id).some(({ state }) => state === 'wanted' || state === 'no_longer_made')
  return toOrder ? about(row, 'us', t.reasons.order, null) : about(row, 'others', t.reasons.parts, null)
}

/** What the job itself waits on. */
function jobWaits(row: Job, now: Day): Wait {
  const all = offeredOn(row)
  const offered = all.at(-1)
  if (offered)
    return about(
      row,
      'customers',
      all.length > 1 ? t.reasons.quotes(all.length) : t.reasons.quote,
      dayOf(offered.offered_at ?? offered.changed_at),
    )
  if (row.waits_on.includes('parts')) return partWait(row)
  if (row.waits_on.includes('customer')) return about(row, 'customers', en.waits.customer, null)
  if (row.stage === 'ready') {
    const brought = stopsOfJob(row.id).some(({ kind, state }) => kind === 'return' && isPendingStop(state))
    return brought
      ? about(row, 'us', t.reasons.bring, null)
      : about(row, 'customers', t.reasons.collect, null)
  }
  const section = jobSection(row, now)
  return about(row, 'us', whyListed(row, section === 'past' ? 'mine' : section), dayOf(row.opened_at))
}

function issues(): Wait[] {
  return openIssues.value.map((issue) => ({
    id: issue.id,
    on: 'us',
    who: issue.member_id ? memberName(issue.member_id) : en.app.noName,
    why: t.reasons.issue,
    since: dayOf(issue.created_at),
    to: { at: 'issue', id: issue.id },
  }))
}

/** Entries of one person that two phones tell differently: one line for each of their days. */
function disputedTime(): Wait[] {
  return allOf('time_entry')
    .filter(({ state }) => state === 'disputed')
    .map((entry) => ({
      id: `${entry.member_id} ${dayOf(entry.started_at)}`,
      on: 'us',
      who: memberName(entry.member_id),
      why: t.reasons.time,
      since: dayOf(entry.started_at),
      to: { at: 'time-settle', id: entry.id },
    }))
}

/** Follow-ups: a clock left running waits on who left it, the others on what their job waits on, or on us. */
function followUps(found: ReadonlyMap<string, Wait>): Wait[] {
  return followUpsHere().map((followUp) => {
    const { id, job_id, customer_id, member_id, kind, due_on } = followUp
    const row = job_id === null ? undefined : job(job_id)
    const known = row && found.get(row.id)
    if (known) return { ...known, followUp }
    const why = en.messages.due.kinds[kind]
    if (row) return { ...about(row, 'us', why, due_on), followUp }
    if (member_id) return { id, on: 'others', who: memberName(member_id), why, since: due_on, followUp }
    return { id, on: 'us', who: nameOf(customer(customer_id ?? '')), why, since: due_on, followUp }
  })
}

/**
 * What waits on customers, on us and on others, by the rules of the rest of the app. Each job is one line, by its most
 * urgent reason: safety first, then a question, a stop, what the job itself waits on.
 */
export function whatWaits(): Wait[] {
  const now = today()
  const lines = [
    ...openJobs.value.flatMap(safety),
    ...questions(),
    ...issues(),
    ...disputedTime(),
    ...stops(),
    ...openJobs.value.map((row) => jobWaits(row, now)),
  ]
  const found = new Map<string, Wait>()
  for (const line of lines) {
    const row = job(line.id)
    const late = row && isPastDue(row, now) && { late: true, since: row.promised_on }
    // A quote without an answer is told of beside what we have to do first.
    const out = row && line.on === 'us' ? offeredOn(row).length : 0
    const why = out ? en.app.listed([line.why, t.reasons.quotes(out)]) : line.why
    if (!found.has(line.id)) found.set(line.id, { ...line, why, ...late })
  }
  for (const line of followUps(found)) found.set(line.id, line)
  return [...found.values()]
}

/** Days since a line began to wait, or that it is late; null where that is not known. */
export const daysWaiting = ({ since }: Pick<Wait, 'since'>, now: Day): number | null =>
  since === null ? null : Math.max(0, daysBetween(since, now))

/** The lines of a column: the late ones first, then those that wait longest; unknown last. */
export function columnOf(all: readonly Wait[], on: WaitsOn): Wait[] {
  return all
    .filter((line) => line.on === on)
    .sort(
      (a, b) =>
        Number(b.late ?? false) - Number(a.late ?? false) ||
        (a.since ?? '9999').localeCompare(b.since ?? '9999'),
    )
}
