import type { Finding, Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { declinedBefore, recordFinding, removeFinding } from '../../../store/jobs'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { showToast } from '../../toast'
import { useSaveOnce } from '../../useSaveOnce'

const t = en.before
const TAKEN_UP_IN: ReadonlySet<Job['stage']> = new Set(['intake', 'diagnosis', 'repair', 'testing'])

/** What the customer declined on earlier visits, to be inspected and offered again. */
export function DeclinedBefore({ job }: { job: Job }) {
  const { save: send } = useSaveOnce()
  const found = TAKEN_UP_IN.has(job.stage) ? declinedBefore(job) : []
  if (!found.length) return null
  function takeUp({ id, words, consequence, rank }: Finding): void {
    let made = ''
    const record = async () => {
      made = await recordFinding({ job_id: job.id, words, consequence, rank, again_of_id: id })
    }
    void send(record, () => showToast(t.taken, () => removeFinding(made)))
  }
  return (
    <Section title={t.title}>
      <p class="multiline">{t.intro}</p>
      <List items={found} keyOf={({ id }) => id} empty="">
        {(finding) => (
          <>
            <ListItem title={finding.words} value={en.ranks[finding.rank]} details={finding.consequence} />
            <ButtonRow stacked>
              <Button wide label={t.take(finding.words)} onPress={() => takeUp(finding)} />
            </ButtonRow>
          </>
        )}
      </List>
    </Section>
  )
}
