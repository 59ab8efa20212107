import type { PlanRequest } from '../../../domain/contract'
import { named } from '../../../domain/named'
import { en } from '../../../domain/words/index'
import { rigs, runsOn, stopsWaiting, yard } from '../../../store/dispatch'
import { cancelPlan, requestPlan, takePlan } from '../../../store/dispatchCommands'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { format, today } from '../../shopFormat'
import { saveWithToast } from '../../toast'

const t = en.dispatch.plan

/** The progress of a plan request as text. */
export function PlanProgress({ plan }: { plan: PlanRequest }) {
  const percent = format.value.percent(String(Math.floor(plan.permille / 10)))
  const text = named({
    waiting: t.queued,
    running: t.running(percent),
    done: plan.taken_at ? t.taken : '',
    failed: [t.failed, plan.error].filter(Boolean).join(': '),
    cancelled: t.cancelled,
  })[plan.state]
  return (
    <p class="multiline" role="status">
      <b>{text}</b>
    </p>
  )
}

interface MainProps {
  plan: PlanRequest | undefined
  going: boolean
  ready: boolean
  days: string[]
}

export function PlanButton({ plan, going, ready, days }: MainProps) {
  // Rigs are under way: the rest of the day is planned from where they are.
  const fromNow =
    days.length === 1 && days[0] === today() && runsOn(today()).some((row) => row.state === 'driving')
  const ask = () => void saveWithToast(() => requestPlan(days, fromNow), t.asked)
  if (plan && going)
    return (
      <PrimaryButton
        label={t.cancel}
        onPress={() => void saveWithToast(() => cancelPlan(plan.id), t.cancelled)}
      />
    )
  if (plan && ready)
    return (
      <>
        <ButtonRow>
          <Button label={t.again} onPress={ask} />
        </ButtonRow>
        <PrimaryButton
          label={t.take}
          hint={t.takeHint}
          onPress={() => void saveWithToast(() => takePlan(plan.id), t.tookIt)}
        />
      </>
    )
  if (!yard.value) return <PrimaryButton label={t.yard} to={{ at: 'yard' }} />
  if (rigs.value.length === 0) return <PrimaryButton label={t.addRig} to={{ at: 'new-rig' }} />
  return (
    <PrimaryButton
      label={t.ask}
      hint={fromNow ? t.askFromNow : t.askHint(stopsWaiting.value.length)}
      onPress={ask}
    />
  )
}
