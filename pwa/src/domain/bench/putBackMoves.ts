import type { Fastener, FastenerMove, StepMove } from '../contract.ts'

/** How many fasteners are at a place now: what went back there, less what was cancelled. */
export const placedAt = (id: string, moves: readonly FastenerMove[]): number =>
  moves.reduce(
    (sum, move) => (move.kind === 'back' && (move.at_id ?? move.fastener_id) === id ? sum + move.count : sum),
    0,
  )

/**
 * The moves of a step that is put back: of each fastener as many as are said, new ones where they are used once. Nothing
 * came out of a step that was only loosened.
 */
export function putBackMoves(
  step: { loosened: boolean },
  fasteners: readonly { row: Fastener; count: number; useNew: boolean }[],
  newId: () => string,
): StepMove[] {
  if (step.loosened) return []
  return fasteners.flatMap(({ row, count, useNew }) => {
    if (count < 1) return []
    const kinds = useNew ? (['new', 'replaced', 'back'] as const) : (['back'] as const)
    return kinds.map((kind): StepMove => ({ id: newId(), fastener_id: row.id, kind, count }))
  })
}

/** The moves that cancel others. */
export const opposites = (moves: readonly StepMove[], newId: () => string): StepMove[] =>
  moves.map((move) => ({ ...move, id: newId(), count: -move.count }))
