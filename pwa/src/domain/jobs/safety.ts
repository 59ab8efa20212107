import type { Finding, Stage } from '../contract.ts'

/** Whether a move says that the work is done. From returned back to ready only corrects a return. */
export const finishes = (from: Stage, to: Stage): boolean => from === 'testing' && to === 'ready'

/**
 * Why a finding keeps its job from being ready, or null where it does not. `acknowledged`: its words as the customer was
 * told them each time. Twin: `shopapi/jobs/rules.py`; both run `fixtures/jobs/safety.json`.
 */
export function openSafety(
  { rank, decided, words }: Pick<Finding, 'rank' | 'decided' | 'words'>,
  acknowledged: readonly string[],
): 'undecided' | 'unacknowledged' | null {
  if (rank !== 'safety' || decided === 'accepted') return null
  if (decided === 'open') return 'undecided'
  return acknowledged.includes(words) ? null : 'unacknowledged'
}
