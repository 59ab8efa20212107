import type { Stage } from '../../../domain/contract'
import { finishes, startsTesting } from '../../../domain/jobs/safety'
import { mayMove } from '../../../domain/states'
import { en } from '../../../domain/words'
import { bench } from '../../../domain/words/bench'
import { customer } from '../../../store/customers'
import { openSafetyOf } from '../../../store/findings'
import { job, moveJob } from '../../../store/jobs'
import { ledgerOfRows } from '../../../store/rows/benchRows'
import { teardownOf } from '../../../store/teardown'
import { Button, ButtonRow } from '../../components/Button'
import { TestSummary } from '../../features/testing/TestSummary'
import { NotFound } from '../../NotFound'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { saveWithToast, showToast } from '../../toast'
import { OpenSafety } from './OpenSafety'

const t = en.job

/** The stages that a job can move to, and what keeps it from being ready. */
export function JobStage({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const now = row.stage
  const blocked = openSafetyOf(id).length > 0
  const torqueOpen = ledgerOfRows(teardownOf(id)).torqueOpen.length
  const next = (Object.keys(en.stages) as Stage[]).filter(
    (stage) =>
      mayMove(now, stage) &&
      !(blocked && finishes(now, stage)) &&
      !(torqueOpen > 0 && startsTesting(now, stage)),
  )

  async function move(stage: Stage) {
    const moved = await saveWithToast(() => moveJob(id, stage))
    if (!moved) return
    showToast(t.moved(en.stages[stage]), mayMove(stage, now) ? () => moveJob(id, now) : undefined)
    navigate({ at: 'job', id }, { replace: true })
  }
  return (
    <ShopPage
      overline={customer(row.customer_id)?.name ?? ''}
      title={t.moveTitle}
      subtitle={t.moveNow(en.stages[now])}
      back={{ at: 'job', id }}
      dock={
        <ButtonRow stacked>
          {next.map((stage) => (
            <Button
              key={stage}
              wide
              label={en.stages[stage]}
              hint={en.stageHints[stage]}
              onPress={() => void move(stage)}
            />
          ))}
        </ButtonRow>
      }
    >
      {!next.length && <p>{t.noMove}</p>}
      <OpenSafety job={row} />
      {now === 'testing' && <TestSummary job={row} />}
      <TorqueOpen id={id} stage={now} count={torqueOpen} />
    </ShopPage>
  )
}

/** How many torque-critical fasteners keep a job from testing, with the way to them. */
function TorqueOpen({ id, stage, count }: { id: string; stage: Stage; count: number }) {
  if (!count || !mayMove(stage, 'testing') || !startsTesting(stage, 'testing')) return null
  return (
    <Button
      wide
      label={bench.torqueOpen(count)}
      hint={bench.torqueOpenHint}
      to={{ at: 'job-fasteners', id }}
    />
  )
}
