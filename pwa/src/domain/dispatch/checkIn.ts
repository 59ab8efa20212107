import { GUARD_ITEMS, type HandOver, type JobStopKind, LONGEST_WORDS } from '../contract.ts'

const STATES = Object.keys(GUARD_ITEMS) as (keyof typeof GUARD_ITEMS)[]

/**
 * The safety item of a check-in at which a guard is missing or damaged, with what was noted; missing comes first.
 * Twin: `shopapi/dispatch/rules/check_in.py`; both run `fixtures/jobs/check_in.json`.
 */
export function guardItem(kind: JobStopKind, condition: HandOver['condition']) {
  if (kind !== 'pickup') return undefined
  for (const state of STATES) {
    const seen = condition.findLast((item) => item.part === 'guards' && item.state === state)
    if (!seen) continue
    const item = GUARD_ITEMS[state]
    const words = [item.words, seen.note].filter(Boolean).join('. ')
    return { ...item, words: [...words].slice(0, LONGEST_WORDS).join('') }
  }
  return undefined
}
