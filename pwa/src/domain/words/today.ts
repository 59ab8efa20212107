import type { Stage } from '../contract.ts'
import { named } from '../named.ts'
import { counted } from './plural'

// Words of today and of the lines that stand for a job.

export const urgencies = /* @__PURE__ */ named({
  usual: 'No hurry',
  by_date: 'By a date',
  down: 'Down, losing money',
})

export const today = {
  title: 'Today',
  newJob: 'New job',
  newJobHint: 'Customer, machine and the problem',
  waiting: 'Waiting for approval',
  shared: 'Shared from another app: put it where?',
  ready: 'Ready to go back',
  promised: (date: string) => `Promised for ${date}`,
  promisedPast: 'Past due',
  nothing: 'No open jobs',
  nothingHint: 'Add the first one: whose machine, and what’s wrong.',
  count: (title: string, count: number) => `${title} · ${count}`,
  clocked: (time: string) => `${time} clocked`,
  answers: 'Answers that came in',
  /** What a customer decided by link: "Ilse Kessler approved 2 of 3". */
  approved: (name: string, accepted: number, all: number) =>
    accepted === 0
      ? `${name} declined`
      : accepted === all
        ? `${name} approved`
        : `${name} approved ${accepted} of ${all}`,
  cameAt: (number: string, when: string) => `${number}, ${when}`,
  mine: 'Waiting for you',
  finishQuote: 'quote to finish',
  down: 'down',
  /** What is to be done next, by stage. */
  steps: /* @__PURE__ */ named({
    intake: 'look it over',
    diagnosis: 'quote to write',
    repair: 'repair',
    testing: 'test it',
  } as Record<Stage, string>),
  others: (count: number) => counted(count, 'other open job', 'other open jobs'),
  openJobs: (count: number) => counted(count, 'open job', 'open jobs'),
}

export const jobs = {
  title: 'Jobs',
  views: { open: 'Open', late: 'Late', waiting: 'Waiting', ready: 'Ready' },
  none: { late: 'No late jobs', waiting: 'No jobs waiting', ready: 'No jobs ready' },
}

export const stages = /* @__PURE__ */ named({
  intake: 'Checked in',
  diagnosis: 'Diagnosis',
  repair: 'Repair',
  testing: 'Testing',
  ready: 'Ready',
  returned: 'Returned',
  closed: 'Closed',
  cancelled: 'Cancelled',
})

export const waits = {
  approval: 'waiting for approval',
  parts: 'waiting for parts',
  customer: 'waiting for the customer',
}
