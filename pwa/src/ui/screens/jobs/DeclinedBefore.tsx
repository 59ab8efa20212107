import type { Finding, Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { declinedBefore } from '../../../store/findings'
import { takeUpFinding } from '../../../store/safetyItems'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { itemsLeft, itemText } from '../../features/safety/itemText'
import { showToast } from '../../toast'
import { useSaveOnce } from '../../useSaveOnce'

const t = en.before
const TAKEN_UP_IN: ReadonlySet<Job['stage']> = new Set(['intake', 'diagnosis', 'repair', 'testing'])

/** What the customer declined on earlier visits, to be inspected and offered again. */
export function DeclinedBefore({ job }: { job: Job }) {
  const { save: send } = useSaveOnce()
  const found = TAKEN_UP_IN.has(job.stage) ? declinedBefore(job) : []
  if (!found.length) return null
  function takeUp(finding: Finding): void {
    let undo = async (): Promise<unknown> => undefined
    const record = async () => {
      undo = await takeUpFinding(job.id, finding)
    }
    void send(record, () => showToast(t.taken, undo))
  }
  return (
    <Section title={t.title}>
      <p class="multiline">{t.intro}</p>
      <List items={found} keyOf={({ id }) => id} empty="">
        {(finding) => (
          <>
            <ListItem
              title={finding.words}
              value={en.ranks[finding.rank]}
              details={en.app.joined([finding.consequence, ...itemsLeft(finding.id).map(itemText)])}
            />
            <ButtonRow stacked>
              <Button wide label={t.take(finding.words)} onPress={() => takeUp(finding)} />
            </ButtonRow>
          </>
        )}
      </List>
    </Section>
  )
}
