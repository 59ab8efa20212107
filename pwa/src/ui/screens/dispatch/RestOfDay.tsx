import type { PlanAnswer, PlanRequest, Run } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { rest } from '../../../domain/words.rest'
import { latestPlan, takePlan } from '../../../store/dispatch'
import { permissions, session } from '../../../store/session'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { useHurry } from '../../hurry'
import { saving } from '../../telling'
import { Answer } from './Answer'

const its = en.dispatch.plan
/** Why a stop is not made today though nothing stands in its way; whoever drives today need not read it. */
const OTHER_DAYS: ReadonlySet<string> = new Set(['pinned_elsewhere', 'too_early', 'other_day'])

/** On a run that is under way: the rest of its day as it was planned anew, and the key to drive it so. */
export function RestOfDay({ run }: { run: Run }) {
  const plan = latestPlan(run.day)
  const going = plan?.state === 'waiting' || plan?.state === 'running'
  useHurry(going)
  if (!plan?.from_now || plan.taken_at || plan.state === 'cancelled' || run.state !== 'driving') return null
  if (going)
    return (
      <p class="lines" role="status">
        <b>{rest.going}</b>
      </p>
    )
  if (!plan.answer) return <p class="lines">{[its.failed, plan.error].filter(Boolean).join(': ')}</p>
  return <Proposed plan={plan} answer={plan.answer} />
}

function Proposed({ plan, answer }: { plan: PlanRequest; answer: PlanAnswer }) {
  return (
    <Part title={rest.title}>
      <Answer answer={{ ...answer, left_out: answer.left_out.filter(({ code }) => !OTHER_DAYS.has(code)) }} />
      {answer.runs.length > 0 && !mayTake(answer) && <p class="lines">{rest.office}</p>}
      {answer.runs.length > 0 && mayTake(answer) && (
        <Keys tall>
          <Key
            wide
            words={its.take}
            hint={its.takeHint}
            onPress={() => void saving(() => takePlan(plan.id), its.tookIt)}
          />
        </Keys>
      )}
    </Part>
  )
}

/** A driver takes what changes no run but their own; the server holds to the same. */
const mayTake = ({ touches }: PlanAnswer) =>
  permissions.value.has('plan_runs') ||
  touches.every(({ driver_id }) => driver_id === session.value.member?.id)
