import { GUARD_FINDINGS, type HandOver, LONGEST_WORDS, type StopKind } from '../contract.ts'

const STATES = Object.keys(GUARD_FINDINGS) as (keyof typeof GUARD_FINDINGS)[]

/**
 * The safety finding of a check-in at which a guard is missing or damaged, with what was noted; missing comes first.
 * Twin: `shopapi/dispatch/rules/check_in.py`; both run `fixtures/jobs/check_in.json`.
 */
export function guardFinding(kind: StopKind, condition: HandOver['condition']) {
  if (kind !== 'pickup') return undefined
  for (const state of STATES) {
    const seen = condition.findLast((item) => item.part === 'guards' && item.state === state)
    if (!seen) continue
    const finding = GUARD_FINDINGS[state]
    const words = [finding.words, seen.note].filter(Boolean).join('. ')
    return { ...finding, words: [...words].slice(0, LONGEST_WORDS).join('') }
  }
  return undefined
}
