/** By when the parts of jobs are needed. Twin: `shopapi/quotes/queries/need_by.py`. */
import type { PartNeed, QuoteLine } from '../domain/contract'
import { hoursFrom } from '../domain/parts/needBy'
import { isWaitedFor } from '../domain/parts/needs'
import { decidedQuotes, linesOf } from './quotes'
import { compare, ownedBy } from './rows/selectors'

const acceptedLines = (job_id: string): QuoteLine[] =>
  decidedQuotes(job_id)
    .toSorted((a, b) => compare(a.created_at, b.created_at) || compare(a.id, b.id))
    .flatMap(({ id }) => linesOf(id))
    .filter(({ decided }) => decided === 'accepted')

/** The hours of accepted work that come after each part that a job waits for; without a work of its own, all. */
export function hoursAfterParts(job_id: string): Map<string, number> {
  const needs = ownedBy('part_need', 'job_id', job_id).filter(({ state }) => isWaitedFor(state))
  const lines = acceptedLines(job_id)
  const labor = lines.filter(({ kind }) => kind === 'labor')
  const workOf = ({ line_id }: PartNeed): string | undefined => {
    const line = lines.find(({ id, kind }) => id === line_id && kind === 'part')
    return labor.find(({ id }) => id === line?.belongs_to_id)?.id
  }
  const waiting = new Set(needs.map(workOf))
  const works = labor.map(({ id, hours }) => ({ key: id, hours: Number(hours ?? 0), waits: waiting.has(id) }))
  const from = hoursFrom(works)
  const all = works.reduce((sum, { hours }) => sum + hours, 0)
  return new Map(needs.map((need) => [need.id, from.get(workOf(need) ?? '') ?? all]))
}
