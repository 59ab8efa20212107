/**
 * How many tie-downs a machine takes, by 49 CFR 393.110, 393.130 and 393.106(d) and the shop's own setting. Twin of
 * `count_of_machine` in `shopapi/planner/loading/tie_downs.py`; both run the vectors of `fixtures/dispatch`.
 */
import type { Piece } from './deck.ts'

const KG_A_POUND = 0.45359237
const CM_A_FOOT = 30.48
const HEAVY_POUNDS = 10_000
/** Tolerance of floating-point sums: a figure exactly on a limit is within it. */
const GRAIN = 1e-9

/** `least`: the shop's own setting for each machine; `counts`: kilograms of each tie-down that count, where entered. */
export interface TieDowns {
  least: number
  counts: number | null
}

/** A machine without a size takes the shop's own setting. */
export function tieDownsFor(piece: Piece | null, { least, counts }: TieDowns): number {
  if (piece === null) return least
  const heavy = piece.kg > HEAVY_POUNDS * KG_A_POUND + GRAIN ? 4 : 0
  const strong = counts === null ? 0 : Math.ceil(piece.kg / 2 / counts - GRAIN)
  return Math.max(least, heavy, strong, byLength(piece))
}

function byLength({ kg, length_cm }: Piece): number {
  const feet = length_cm / CM_A_FOOT
  if (feet <= 5 + GRAIN) return kg <= 1100 * KG_A_POUND + GRAIN ? 1 : 2
  return 2 + Math.max(0, Math.ceil((feet - 10) / 10 - GRAIN))
}
