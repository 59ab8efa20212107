import type { Moved, PutBackOrder } from '../../../domain/bench/putBack'
import { teardown as t } from '../../../domain/words/teardown'
import { putBackRulesOf, removalStep } from '../../../store/teardown'
import { nameOfStep } from './stepName'

/** Why a step is not where the plain reverse has it; empty where it is. */
export function movedText(order: PutBackOrder, id: string): string {
  const moved = order.moved.find((each) => each.id === id)
  return moved ? t.moved(nameOfStep(moved.after_id), reasonText(moved.after_id, id, moved.reason)) : ''
}

/** Why one step comes before another: the words of the job's own rule, or what a built-in one says. */
export function reasonText(before_id: string, after_id: string, reason: Moved['reason']): string {
  if (reason !== 'rule') return t.reasons[reason]
  const rules = putBackRulesOf(removalStep(before_id)?.job_id ?? '')
  const own = rules.find((rule) => rule.before_id === before_id && rule.after_id === after_id)
  return own?.reason || t.reasons.rule
}
