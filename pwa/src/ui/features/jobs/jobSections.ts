import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { quotesOf } from '../../../store/quotes'
import { format } from '../../shopFormat'

const t = en.today

/** Promised for a day that is over, and not ready yet. */
export const isPastDue = (job: Job, today: string): boolean =>
  job.promised_on !== null && job.promised_on < today && job.stage !== 'ready'

export type JobSection = 'past' | 'mine' | 'ready' | 'answer'

/** The part of Today that lists a job: the first that fits, so that none is listed twice. */
export function jobSection(job: Job, today: string): JobSection {
  if (isPastDue(job, today)) return 'past'
  if (job.stage === 'ready') return 'ready'
  return job.waits_on.length > 0 ? 'answer' : 'mine'
}

/** What is to be done next on a job, in two or three words. */
function nextStep(job: Job): string {
  return quotesOf(job.id).some(({ state }) => state === 'draft') ? t.finishQuote : t.steps[job.stage]
}

/** Why Today lists a job: that it loses money; the day it was promised for, what it waits on, or the next step. */
export function whyListed(job: Job, section: JobSection): string {
  const why = whyIn(job, section)
  return job.urgency === 'down' ? en.app.joined([t.down, why]) : why
}

function whyIn(job: Job, section: JobSection): string {
  if (section === 'mine') return nextStep(job)
  if (section === 'answer') return en.app.listed(job.waits_on.map((what) => en.waits[what]))
  return job.promised_on ? format.value.day(job.promised_on) : ''
}
