import type { Work } from '../../../domain/commands'
import type { QuoteLine } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { job, openJobs } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { agreedLabor } from '../../../store/quotes'
import { agreedWork, plainWork } from '../../../store/time'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { goTo, type Place } from '../../router'
import { Nowhere } from '../Nowhere'
import { machineName } from '../names'
import { Sheet } from '../Sheet'
import { jobWords } from './about'
import { start } from './Clock'

const its = en.clock
const ON_A_JOB = ['repair', 'diagnosis', 'travel', 'errand'] as const
const ON_NONE = ['shop', 'errand', 'travel'] as const

/** What to clock: kinds as big keys, the agreed labor of a job, or another job. One press starts it. */
export function ChooseWork({ jobId }: { jobId: string | null }) {
  const row = jobId === null ? undefined : job(jobId)
  if (jobId !== null && !row) return <Nowhere />
  const back: Place = row ? { at: 'job', id: row.id } : { at: 'today' }

  async function begin(work: Work) {
    if (await start(work)) goTo(back, { instead: true })
  }
  const kinds = row ? ON_A_JOB : ON_NONE
  const lines = row ? agreedLabor(row.id) : []
  return (
    <Sheet over={row ? jobWords(row.id) : its.title} title={its.choose} back={back}>
      {lines.length > 0 && (
        <Part title={its.pickLine} hint={its.pickLineHint}>
          <Rows items={lines} keyOf={(line) => line.id} empty="">
            {(line: QuoteLine) => (
              <Row
                lead={line.operation || line.words}
                also={line.operation ? line.words : undefined}
                onPress={() => jobId !== null && void begin(agreedWork(line, jobId))}
              />
            )}
          </Rows>
        </Part>
      )}
      <Part title={row ? its.fields.kind : its.noJob}>
        <Keys tall>
          {kinds.map((kind) => (
            <Key
              key={kind}
              wide
              words={its.kinds[kind]}
              hint={its.kindHints[kind]}
              onPress={() => void begin(plainWork(kind, row ? row.id : null))}
            />
          ))}
          {row && (
            <Key
              wide
              words={its.kinds.rework}
              hint={its.kindHints.rework}
              to={{ at: 'job-rework', id: row.id }}
            />
          )}
        </Keys>
      </Part>
      {!row && (
        <Part title={its.pickJob}>
          <Rows items={openJobs.value} keyOf={(each) => each.id} empty={en.today.nothing}>
            {(each) => (
              <Row
                to={{ at: 'job-clock', id: each.id }}
                lead={customer(each.customer_id)?.name || en.app.noName}
                figure={each.number ?? each.mark}
                also={machineName(machine(each.machine_id))}
              />
            )}
          </Rows>
        </Part>
      )}
    </Sheet>
  )
}
