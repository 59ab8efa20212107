import { GUARD_MISSING, type HandOver, LONGEST_WORDS, type StopKind } from '../contract.ts'

/**
 * The safety finding of a check-in at which a guard is missing, with what was noted. Twin:
 * `shopapi/dispatch/rules/check_in.py`; both run `fixtures/jobs/check_in.json`.
 */
export function missingGuard(kind: StopKind, condition: HandOver['condition']) {
  const seen = condition.find(({ part, state }) => part === 'guards' && state === 'missing')
  if (kind !== 'pickup' || !seen) return undefined
  const words = [GUARD_MISSING.words, seen.note].filter(Boolean).join('. ')
  return { ...GUARD_MISSING, words: [...words].slice(0, LONGEST_WORDS).join('') }
}
