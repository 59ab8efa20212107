// Parts that a job needs, and what it waits on because of them. Twin: `shopapi/parts/rules/needs.py`; both run
// `fixtures/parts/needs.json`.

import { PARTS_WAITED_FOR, type PartNeed } from '../contract.ts'

/** Whether a job waits on parts, by the states of what it needs. */
export const waitsOnParts = (needs: readonly Pick<PartNeed, 'state'>[]): boolean =>
  needs.some(({ state }) => isWaitedFor(state))

export const isWaitedFor = (state: string): boolean => (PARTS_WAITED_FOR as readonly string[]).includes(state)

/** An answer as a safety item keeps it, with what may be used instead. Twin: `answer_with_alternative`. */
export const answerWithAlternative = (answer: string, alternative: string): string =>
  alternative ? [...`${answer} (${alternative})`].slice(0, 2000).join('') : answer
