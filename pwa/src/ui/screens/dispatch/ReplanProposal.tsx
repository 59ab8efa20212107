import type { LeftOutCode, PlanAnswer, PlanRequest, Run } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { rest } from '../../../domain/words/replan'
import { latestPlan } from '../../../store/dispatch'
import { takePlan } from '../../../store/dispatchCommands'
import { permissions, session } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'
import { saveWithToast } from '../../toast'
import { usePolling } from '../../usePolling'
import { PlanResult } from './PlanResult'

const t = en.dispatch.plan
/** Reasons that only concern other days; drivers do not need to see them. */
const OTHER_DAYS: ReadonlySet<LeftOutCode> = new Set(['pinned_elsewhere', 'too_early', 'other_day'])

/** On a run under way: the replanned rest of its day, and a button to apply it. */
export function ReplanProposal({ run }: { run: Run }) {
  const plan = latestPlan(run.day)
  const going = plan?.state === 'waiting' || plan?.state === 'running'
  usePolling(going)
  if (!plan?.from_now || plan.taken_at || plan.state === 'cancelled' || run.state !== 'driving') return null
  if (going)
    return (
      <p class="multiline" role="status">
        <b>{rest.going}</b>
      </p>
    )
  if (!plan.answer) return <p class="multiline">{[t.failed, plan.error].filter(Boolean).join(': ')}</p>
  return <Proposed plan={plan} answer={plan.answer} />
}

function Proposed({ plan, answer }: { plan: PlanRequest; answer: PlanAnswer }) {
  return (
    <Section title={rest.title}>
      <PlanResult
        answer={{ ...answer, left_out: answer.left_out.filter(({ code }) => !OTHER_DAYS.has(code)) }}
      />
      {answer.runs.length > 0 && !mayTake(answer) && <p class="multiline">{rest.office}</p>}
      {answer.runs.length > 0 && mayTake(answer) && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.take}
            hint={t.takeHint}
            onPress={() => void saveWithToast(() => takePlan(plan.id), t.tookIt)}
          />
        </ButtonRow>
      )}
    </Section>
  )
}

/** A driver may apply a plan that changes only their own run; the server enforces the same. */
const mayTake = ({ touches }: PlanAnswer) =>
  permissions.value.has('plan_runs') ||
  touches.every(({ driver_id }) => driver_id === session.value.member?.id)
