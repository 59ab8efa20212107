import { drawUpLedger, type Ledger } from '../../domain/bench/ledger'
import type { Fastener, FastenerMove, RemovalStep } from '../../domain/contract'
import type { ReplayRows } from './overlay'
import { byAge } from './selectors'

/** Steps in the order in which they were taken apart; two phones may have used a position twice. */
export const byPosition = (a: RemovalStep, b: RemovalStep): number => a.position - b.position || byAge(a, b)

/** The rows of one kind with a value in a field: of what screens show, or of a replay. */
type Where = Pick<ReplayRows, 'where'>['where']

export interface BenchRows {
  steps: RemovalStep[]
  fasteners: Fastener[]
  moves: FastenerMove[]
}

/** What was taken apart on a job, in order. */
export function benchRowsOf(where: Where, job_id: string): BenchRows {
  const steps = where('removal_step', 'job_id', job_id).toSorted(byPosition)
  const fasteners = steps.flatMap(({ id }) => where('fastener', 'step_id', id).toSorted(byAge))
  const moves = fasteners.flatMap(({ id }) => where('fastener_move', 'fastener_id', id).toSorted(byAge))
  return { steps, fasteners, moves }
}

export function ledgerOfRows({ steps, fasteners, moves }: BenchRows): Ledger {
  const loosened = new Set(steps.filter((step) => step.loosened).map(({ id }) => id))
  return drawUpLedger(
    fasteners.map((row) => ({ ...row, loosened: loosened.has(row.step_id) })),
    moves,
  )
}

export const ledgerOf = (rows: Pick<ReplayRows, 'where'>, job_id: string): Ledger =>
  ledgerOfRows(benchRowsOf(rows.where.bind(rows), job_id))
