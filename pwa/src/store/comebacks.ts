import { comebackCost } from '../domain/billing/comebackCost'
import type { Job, Stage } from '../domain/contract'
import { exact, times } from '../domain/numbers/decimal'
import { roundHalf, sum } from '../domain/numbers/money'
import { billingSettings, invoicesOf, signOf } from './invoices'
import { editJob, job, jobsOfMachine } from './jobs'
import { byAge, ownedBy } from './rows/selectors'
import { timeOf } from './timeEntries'

const DONE: ReadonlySet<Stage> = new Set(['ready', 'returned', 'closed'])
const OFFERED = 3

/** The last jobs of a machine whose work is done, of which a new job, or `than` that was opened later, may be a comeback. */
export const doneJobs = (machine_id: string, than?: Job): Job[] =>
  jobsOfMachine(machine_id)
    .filter((row) => DONE.has(row.stage) && row.id !== than?.id)
    .filter((row) => !than || Date.parse(row.opened_at) < Date.parse(than.opened_at))
    .slice(0, OFFERED)

/** The jobs of which a job is a comeback, the nearest first: the first job of all is the last. */
export function jobsBehind(row: Job): Job[] {
  const found: Job[] = []
  let behind = row.comeback_of_id ? job(row.comeback_of_id) : undefined
  while (behind && !found.includes(behind)) {
    found.push(behind)
    behind = behind.comeback_of_id ? job(behind.comeback_of_id) : undefined
  }
  return found
}

/** The comebacks of a job, and theirs, oldest first. */
export function comebacksOf(id: string, known: ReadonlySet<string> = new Set([id])): Job[] {
  const own = ownedBy('job', 'comeback_of_id', id).filter((row) => !known.has(row.id))
  const seen = new Set([...known, ...own.map((row) => row.id)])
  return [...own, ...own.flatMap((row) => comebacksOf(row.id, seen))].sort(byAge)
}

/** Says of which job a job is a comeback; null: of none. */
export const setComeback = (seen: Job, comeback_of_id: string | null) =>
  editJob({ ...seen, comeback_of_id: seen.comeback_of_id ?? null }, { comeback_of_id })

/** What a comeback has cost so far, for those who see costs; ended clocks alone count. */
export function costOfComeback({ id }: Job) {
  const ended = timeOf(id).filter((entry) => entry.state === 'closed' && entry.ended_at !== null)
  const seconds = sum(
    ended.map(({ started_at, ended_at }) => (Date.parse(ended_at ?? '') - Date.parse(started_at)) / 1000),
  )
  const fitted = ownedBy('part_need', 'job_id', id).filter(({ state }) => state === 'fitted')
  const parts_minor = sum(
    fitted.map(({ quantity, cost_minor }) =>
      roundHalf(times(exact(quantity), exact(cost_minor ?? 0)), 'half_away'),
    ),
  )
  const billed_minor = sum(
    invoicesOf(id).flatMap((row) =>
      row.state === 'draft' || !row.totals ? [] : signOf(row) * row.totals.net_minor,
    ),
  )
  const spent = { seconds: Math.trunc(seconds), hour_minor: billingSettings()?.hour_cost_minor ?? null }
  return {
    ...spent,
    parts_minor,
    billed_minor,
    unknownCosts: fitted.filter(({ cost_minor }) => cost_minor === null).length,
    ...comebackCost({ ...spent, parts_minor, billed_minor }),
  }
}
