/**
 * Typical hours of an operation from the shop's own finished jobs: a median, an interval and the number of jobs.
 *
 * Twin: `shopapi/labor/rules/history.py`, which explains the method and its sources. Whole minutes throughout.
 */

import { HISTORY } from '../contract.ts'

/** The times of one operation on one kind of machine in minutes, one per job; `reworked` of them had rework. */
export interface WorkStats {
  machine_kind: string
  minutes: readonly number[]
  reworked: number
}

/**
 * Hours to quote. `level`: whose times the interval is computed from: this kind's, its family's or all machines'.
 * `low` and `high` are null where there are too few jobs. At least `of_ten` of ten such jobs lie between them, and nine
 * of ten take no longer than `most`; both are null where the interval is not computed from this kind's own jobs.
 * `jobs`: how many the interval is computed from; `own`: how many of those are of this kind.
 */
export interface HoursEstimate {
  level: 'kind' | 'family' | 'all' | 'none'
  minutes: number | null
  low: number | null
  high: number | null
  of_ten: number | null
  most: number | null
  jobs: number
  own: number
  reworked: number
}

/** The key by which names of operations and machine kinds are compared: lower case, trimmed. */
export function nameKey(text: string): string {
  return text.trim().toLowerCase()
}

/** The family of a machine kind: its last word. */
export function familyOf(machineKind: string): string {
  return nameKey(machineKind).split(/\s+/u).at(-1) ?? ''
}

/**
 * The ranks r and s (from 1) of the narrowest interval with this coverage in percent; null when n is too small. The
 * rest is left out half at each end, an odd one at the upper end, where times lie furthest apart.
 */
export function orderStatisticRanks(
  n: number,
  coverage: number = HISTORY.coverage,
): [r: number, s: number] | null {
  const outside = Math.floor(((n + 1) * (100 - coverage)) / 100)
  const r = Math.floor(outside / 2)
  return r >= 1 ? [r, r + n + 1 - outside] : null
}

/** The rank k (from 1) so that x_k is exceeded in at most so many percent of cases; null when it is beyond x_n. */
export function upperBoundRank(n: number, miss: number = HISTORY.miss): number | null {
  const k = Math.ceil(((n + 1) * (100 - miss)) / 100)
  return k <= n ? k : null
}

/** The typical hours of one operation on a kind of machine. */
export function estimateHours(kinds: readonly WorkStats[], machineKind: string): HoursEstimate {
  const known = kinds.filter(({ minutes }) => minutes.length)
  const key = nameKey(machineKind)
  const ofKind = known.filter((one) => nameKey(one.machine_kind) === key)
  const ofFamily = known.filter((one) => familyOf(one.machine_kind) === familyOf(key))
  const own = pooled(ofKind)
  if (own.length >= HISTORY.enough) return describe('kind', ofKind, own)
  for (const [level, group] of [
    ['family', ofFamily],
    ['all', known],
  ] as const)
    if (pooled(group).length >= HISTORY.enough) return describe(level, group, own)
  return describe('none', [ofKind, ofFamily, known].find((group) => group.length) ?? [], own)
}

function pooled(group: readonly WorkStats[]): number[] {
  return group.flatMap(({ minutes }) => minutes).sort((a, b) => a - b)
}

function describe(
  level: HoursEstimate['level'],
  group: readonly WorkStats[],
  own: readonly number[],
): HoursEstimate {
  const times = pooled(group)
  const at = (rank: number) => times[rank - 1] ?? 0
  // A few jobs of the kind widen the group's interval; enough of them determine it alone.
  const stretch = own.length < HISTORY.enough ? own : []
  const inside = orderStatisticRanks(times.length)
  const beyond = level === 'kind' ? upperBoundRank(times.length) : null
  return {
    level,
    minutes: times.length ? middle(own, times) : null,
    low: inside && Math.min(at(inside[0]), ...stretch),
    high: inside && Math.max(at(inside[1]), ...stretch),
    of_ten:
      inside && level === 'kind' ? Math.floor((10 * (inside[1] - inside[0])) / (times.length + 1)) : null,
    most: beyond && at(beyond),
    jobs: times.length,
    own: own.length,
    reworked: group.reduce((sum, { reworked }) => sum + reworked, 0),
  }
}

function middle(own: readonly number[], times: readonly number[]): number {
  if (!own.length || own.length === times.length) return Math.floor(median(times) + 0.5)
  const weight = own.length / (own.length + HISTORY.shrink)
  // Interpolated on logarithms: work takes twice as long about as often as half as long.
  const between = weight * Math.log(median(own)) + (1 - weight) * Math.log(median(times))
  return Math.floor(Math.exp(between) + 0.5)
}

function median(sorted: readonly number[]): number {
  const half = sorted.length >> 1
  const upper = sorted[half] ?? 0
  return sorted.length % 2 ? upper : ((sorted[half - 1] ?? 0) + upper) / 2
}
