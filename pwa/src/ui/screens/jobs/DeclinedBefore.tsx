import type { Finding, Job } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { declinedBefore, recordFinding, removeFinding } from '../../../store/jobs'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { useSend } from '../../send'
import { tell } from '../../telling'

const its = en.before
const TAKEN_UP_IN: ReadonlySet<Job['stage']> = new Set(['intake', 'diagnosis', 'repair', 'proving'])

/** What the owner of a machine said no to on earlier visits, to be looked at and offered again. */
export function DeclinedBefore({ job }: { job: Job }) {
  const { send } = useSend()
  const found = TAKEN_UP_IN.has(job.stage) ? declinedBefore(job) : []
  if (!found.length) return null
  function takeUp({ id, words, consequence, rank }: Finding): void {
    let made = ''
    const record = async () => {
      made = await recordFinding({ job_id: job.id, words, consequence, rank, again_of_id: id })
    }
    void send(record, () => tell(its.taken, () => removeFinding(made)))
  }
  return (
    <Part title={its.title}>
      <p class="lines">{its.intro}</p>
      <Rows items={found} keyOf={({ id }) => id} empty="">
        {(finding) => (
          <>
            <Row lead={finding.words} figure={en.ranks[finding.rank]} also={finding.consequence} />
            <Keys tall>
              <Key wide words={its.take(finding.words)} onPress={() => takeUp(finding)} />
            </Keys>
          </>
        )}
      </Rows>
    </Part>
  )
}
