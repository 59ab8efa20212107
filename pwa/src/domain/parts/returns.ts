/** Returns to suppliers. Twin: `shopapi/parts/rules/returns.py`; both run `fixtures/parts/returns.json`. */
import type { ReturnState } from '../contract.ts'
import type { Minor } from '../numbers/money.ts'

/** What a supplier still has to refund; nothing of a return that is settled or was refused. */
export function owedOf(state: ReturnState, expected: Minor | null, refunded: Minor | null): Minor {
  if (state === 'refunded' || state === 'refused') return 0
  return Math.max((expected ?? 0) - (refunded ?? 0), 0)
}

/** The state once so much has come in all: settled when that is all that was expected, or no more comes. */
export function returnStateWhenRefunded(
  state: ReturnState,
  expected: Minor | null,
  refunded: Minor,
  { wasSent, restLost }: { wasSent: boolean; restLost: boolean },
): ReturnState {
  if (restLost || (refunded > 0 && refunded >= (expected ?? 0))) return 'refunded'
  if (state === 'refunded' || state === 'refused') return wasSent ? 'sent' : 'to_send'
  return state
}
