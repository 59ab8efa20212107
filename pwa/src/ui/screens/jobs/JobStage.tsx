import type { Stage } from '../../../domain/rows'
import { mayMove } from '../../../domain/stages'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { job, moveJob } from '../../../store/jobs'
import { Key, Keys } from '../../components/Press'
import { goTo } from '../../router'
import { saving, tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const its = en.job

/** Where a job can go from where it is. */
export function JobStage({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <Nowhere />
  const now = row.stage
  const next = (Object.keys(en.stages) as Stage[]).filter((stage) => mayMove(now, stage))

  async function move(stage: Stage) {
    const moved = await saving(() => moveJob(id, stage))
    if (!moved) return
    tell(its.moved(en.stages[stage]), mayMove(stage, now) ? () => moveJob(id, now) : undefined)
    goTo({ at: 'job', id }, { instead: true })
  }
  return (
    <Sheet
      over={customer(row.customer_id)?.name ?? ''}
      title={its.moveTitle}
      under={its.moveNow(en.stages[now])}
      back={{ at: 'job', id }}
      dock={
        <Keys tall>
          {next.map((stage) => (
            <Key
              key={stage}
              wide
              words={en.stages[stage]}
              hint={en.stageHints[stage]}
              onPress={() => void move(stage)}
            />
          ))}
        </Keys>
      }
    >
      {!next.length && <p>{its.noMove}</p>}
    </Sheet>
  )
}
