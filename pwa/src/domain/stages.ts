import type { Stage } from './rows'

/** The life of a job. Twin: `JOB_TRANSITIONS` of `shopapi/jobs/rules.py`. */
export const JOB_TRANSITIONS: Readonly<Record<Stage, readonly Stage[]>> = {
  intake: ['diagnosis', 'repair', 'cancelled'],
  diagnosis: ['intake', 'repair', 'proving', 'cancelled'],
  repair: ['diagnosis', 'proving', 'cancelled'],
  proving: ['diagnosis', 'repair', 'ready', 'cancelled'],
  ready: ['proving', 'repair', 'returned'],
  returned: ['ready', 'closed'],
  closed: ['returned'],
  cancelled: ['intake'],
}

/** Whether a job may go from one stage to another. Staying is no move. */
export function mayMove(stage: Stage, to: Stage): boolean {
  return JOB_TRANSITIONS[stage].includes(to)
}
