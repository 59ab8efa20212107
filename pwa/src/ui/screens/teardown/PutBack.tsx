import type { PutBackOrder } from '../../../domain/bench/putBack'
import type { RemovalStep } from '../../../domain/contract'
import { bench as words } from '../../../domain/words/bench'
import { teardown as t } from '../../../domain/words/teardown'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { ledgerOfRows } from '../../../store/rows/benchRows'
import { putBackOf, putBackRulesOf, teardownOf } from '../../../store/teardown'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { useWakeLock } from '../../features/wakeLock/useWakeLock'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { CurrentStep } from './CurrentStep'
import { OrderCircle, OrderRules } from './OrderRules'
import { movedText } from './orderText'
import { stepDetails } from './StepList'
import { nameOfStep } from './stepName'

/** Putting back: the step that is next with its photos and fasteners, then the others in order. */
export function PutBack({ id, stepId }: { id: string; stepId?: string }) {
  useWakeLock()
  const row = job(id)
  if (!row) return <NotFound />
  const bench = teardownOf(id)
  const order = putBackOf(bench, putBackRulesOf(id))
  const byId = new Map(bench.steps.map((step) => [step.id, step]))
  const left = order.order.flatMap((each) => {
    const step = byId.get(each)
    return step && step.back_at === null ? [step] : []
  })
  const chosen = left.find((step) => step.id === stepId) ?? left[0]
  const rest = (
    <>
      <OrderCircle order={order} jobId={id} />
      <ComingUp jobId={id} steps={left.filter((step) => step !== chosen)} order={order} />
      <AlreadyBack steps={bench.steps.filter((step) => step.back_at !== null)} />
      {bench.steps.length > 1 && <OrderRules jobId={id} />}
      {chosen && (
        <ButtonRow>
          <Button label={t.checkLedger} to={{ at: 'job-fasteners', id }} />
        </ButtonRow>
      )}
    </>
  )
  const overline = machineName(machine(row.machine_id))
  const torqueOpen = ledgerOfRows(bench).torqueOpen.length
  if (chosen)
    return (
      <CurrentStep
        key={chosen.id}
        step={chosen}
        left={left.length}
        overline={overline}
        moved={movedText(order, chosen.id)}
      >
        {rest}
      </CurrentStep>
    )
  return (
    <ShopPage
      overline={overline}
      title={t.putBack}
      back={{ at: 'job-bench', id }}
      {...(bench.steps.length > 0 && {
        dock: (
          <PrimaryButton
            label={t.checkLedger}
            {...(torqueOpen > 0 && { hint: words.torqueOpen(torqueOpen) })}
            to={{ at: 'job-fasteners', id }}
          />
        ),
      })}
    >
      {bench.steps.length > 0 ? <p>{t.everything}</p> : <NothingOff />}
      {bench.steps.length > 0 && rest}
    </ShopPage>
  )
}

const NothingOff = () => (
  <List items={[]} keyOf={String} empty={t.nothingOff} emptyHint={t.nothingOffHint}>
    {() => null}
  </List>
)

function ComingUp(props: { jobId: string; steps: readonly RemovalStep[]; order: PutBackOrder }) {
  const { jobId, steps, order } = props
  if (!steps.length) return null
  return (
    <Section title={t.comingUp} end={steps.length}>
      <List items={steps} keyOf={(step) => step.id} empty="" most={20}>
        {(step) => (
          <ListItem
            to={{ at: 'job-put-back', id: jobId, stepId: step.id }}
            title={nameOfStep(step.id)}
            value={step.bag ? t.bagNumber(step.bag) : ''}
            details={movedText(order, step.id)}
          />
        )}
      </List>
    </Section>
  )
}

function AlreadyBack({ steps }: { steps: readonly RemovalStep[] }) {
  if (!steps.length) return null
  return (
    <Section title={t.alreadyBack} end={steps.length}>
      <List items={steps} keyOf={(step) => step.id} empty="" most={5}>
        {(step) => (
          <ListItem
            to={{ at: 'removal-step', id: step.id }}
            title={nameOfStep(step.id)}
            details={stepDetails(step)}
          />
        )}
      </List>
    </Section>
  )
}
