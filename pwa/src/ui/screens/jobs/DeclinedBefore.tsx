import type { Finding, Job } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { declinedBefore, recordFinding, removeFinding } from '../../../store/jobs'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { saving, tell } from '../../telling'

const its = en.before
const TAKEN_UP_IN: ReadonlySet<Job['stage']> = new Set(['intake', 'diagnosis', 'repair', 'proving'])

/** What the owner of a machine said no to on earlier visits, to be looked at and offered again. */
export function DeclinedBefore({ job }: { job: Job }) {
  const found = TAKEN_UP_IN.has(job.stage) ? declinedBefore(job) : []
  if (!found.length) return null
  return (
    <Part title={its.title}>
      <p class="lines">{its.intro}</p>
      <Rows items={found} keyOf={({ id }) => id} empty="">
        {(finding) => (
          <>
            <Row lead={finding.words} figure={en.ranks[finding.rank]} also={finding.consequence} />
            <Keys tall>
              <Key wide words={its.take(finding.words)} onPress={() => void takeUp(job, finding)} />
            </Keys>
          </>
        )}
      </Rows>
    </Part>
  )
}

async function takeUp(job: Job, { id, words, consequence, rank }: Finding): Promise<void> {
  let made = ''
  const saved = await saving(async () => {
    made = await recordFinding({ job_id: job.id, words, consequence, rank, again_of_id: id })
  })
  if (saved) tell(its.taken, () => removeFinding(made))
}
