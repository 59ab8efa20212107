/**
 * Quoted against clocked: which clocked time belongs to which line of labor, and what a job comes to.
 *
 * Twin: `shopapi/quotes/rules/progress.py`. Seconds throughout.
 */
import { nameKey } from '../labor/history.ts'

/** A line of labor that was not declined. `seconds` null: a set price that names no hours. */
export interface QuotedLabor {
  id: string
  words: string
  operation: string
  seconds: number | null
  accepted: boolean
}

/** Time on the job's machine, rework too, by the line and the work it was clocked for. */
export interface ClockedWork {
  line_id: string | null
  operation: string
  seconds: number
}

export interface JobProgress {
  lines: { line: QuotedLabor; clocked: number }[]
  /** Clocked for no line that stands. */
  elsewhere: number
  quoted: number
  /** Hours that the customer said yes to. */
  billed: number
  clocked: number
}

/**
 * How time finds its line: by the line it was clocked for, else by the name of the work. Of several lines of
 * one work the first accepted one takes it, else the first.
 */
export function finder(lines: readonly Pick<QuotedLabor, 'id' | 'operation' | 'accepted'>[]) {
  const known = new Set(lines.map(({ id }) => id))
  const takes = new Map<string, string>()
  for (const line of [...lines].sort((a, b) => Number(b.accepted) - Number(a.accepted))) {
    const key = nameKey(line.operation)
    if (line.operation && !takes.has(key)) takes.set(key, line.id)
  }
  return (line_id: string | null, operation: string): string | undefined =>
    line_id !== null && known.has(line_id) ? line_id : takes.get(nameKey(operation))
}

/** Puts a job's time beside its lines, as `finder` finds them. */
export function progressOf(lines: readonly QuotedLabor[], clocked: readonly ClockedWork[]): JobProgress {
  const lineOf = finder(lines)
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
