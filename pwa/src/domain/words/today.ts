import { named } from '../named.ts'
import { counted } from './plural'

// Words of today and of the lines that stand for a job.

export const today = {
  title: 'Today',
  newJob: 'New job',
  newJobHint: 'Customer, machine and what is wrong',
  find: 'Find',
  waiting: 'Waiting for a yes',
  working: 'In hand',
  ready: 'Ready to go back',
  promised: (date: string) => `Promised for ${date}`,
  promisedPast: 'Promised and past',
  nothing: 'No open jobs',
  nothingHint: 'Write down the first one: whose machine it is and what is wrong with it.',
  count: (title: string, count: number) => `${title} · ${count}`,
  openJobs: (count: number) => counted(count, 'open job', 'open jobs'),
}

export const jobs = {
  title: 'Jobs',
  views: { open: 'Open', late: 'Late', waiting: 'Waiting', ready: 'Ready' },
  none: { late: 'No job is late', waiting: 'No job is waiting', ready: 'No job is ready' },
}

export const stages = /* @__PURE__ */ named({
  intake: 'Taken in',
  diagnosis: 'Diagnosis',
  repair: 'Repair',
  testing: 'Testing',
  ready: 'Ready',
  returned: 'Returned',
  closed: 'Closed',
  cancelled: 'Cancelled',
})

export const waits = {
  approval: 'waits on a yes',
  parts: 'waits on parts',
  customer: 'waits on the customer',
}
