import type { Job } from '../../../domain/contract'

/** Promised for a day that is over, and not ready yet. */
export const isPastDue = (job: Job, today: string): boolean =>
  job.promised_on !== null && job.promised_on < today && job.stage !== 'ready'

export type JobSection = 'past' | 'answer' | 'ready' | 'hand'

/** The part of Today that lists a job: the first that fits, so that none is listed twice. */
export function jobSection(job: Job, today: string): JobSection {
  if (isPastDue(job, today)) return 'past'
  if (job.waits_on.includes('approval')) return 'answer'
  return job.stage === 'ready' ? 'ready' : 'hand'
}
