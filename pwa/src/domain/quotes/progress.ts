/**
 * Quoted against clocked hours: the labor line of each clocked time, and the sums of a job.
 *
 * Twin: `shopapi/quotes/rules/progress.py`. Seconds throughout.
 */
import { nameKey } from '../labor/history.ts'
import type { Successors } from './matching.ts'

/** A line of labor that was not declined. `seconds` null: a set price without hours. */
export interface QuotedLabor {
  id: string
  words: string
  operation: string
  seconds: number | null
  accepted: boolean
}

/** Time on the job, including rework, with the line and the operation it was clocked for. */
export interface ClockedWork {
  line_id: string | null
  operation: string
  seconds: number
}

export interface JobProgress {
  lines: { line: QuotedLabor; clocked: number }[]
  /** Clocked for no current line. */
  elsewhere: number
  quoted: number
  /** Seconds of the accepted lines. */
  billed: number
  clocked: number
}

const NONE: Successors = new Map()

/**
 * Matches time to a line: the line it was clocked for, or the one that replaced it, else by operation. Of several lines
 * with one operation the first accepted one is taken, else the first.
 */
export function finder(
  lines: readonly Pick<QuotedLabor, 'id' | 'operation' | 'accepted'>[],
  successors: Successors = NONE,
) {
  const known = new Set(lines.map(({ id }) => id))
  const takes = new Map<string, string>()
  for (const line of [...lines].sort((a, b) => Number(b.accepted) - Number(a.accepted))) {
    const key = nameKey(line.operation)
    if (line.operation && !takes.has(key)) takes.set(key, line.id)
  }
  return (line_id: string | null, operation: string): string | undefined => {
    const id = line_id === null || known.has(line_id) ? line_id : successors.get(line_id)
    return id != null && known.has(id) ? id : takes.get(nameKey(operation))
  }
}

/** Sums a job's time by line, as matched by `finder`. */
export function progressOf(
  lines: readonly QuotedLabor[],
  clocked: readonly ClockedWork[],
  successors: Successors = NONE,
): JobProgress {
  const lineOf = finder(lines, successors)
  const sums = new Map(lines.map(({ id }) => [id, 0]))
  let elsewhere = 0
  for (const { line_id, operation, seconds } of clocked) {
    const id = lineOf(line_id, operation)
    if (id === undefined) elsewhere += seconds
    else sums.set(id, (sums.get(id) ?? 0) + seconds)
  }
  const beside = lines.map((line) => ({ line, clocked: sums.get(line.id) ?? 0 }))
  const hoursOf = (each: readonly QuotedLabor[]) => each.reduce((sum, line) => sum + (line.seconds ?? 0), 0)
  return {
    lines: beside,
    elsewhere,
    quoted: hoursOf(lines),
    billed: hoursOf(lines.filter(({ accepted }) => accepted)),
    clocked: elsewhere + beside.reduce((sum, each) => sum + each.clocked, 0),
  }
}
