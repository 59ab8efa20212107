import { en } from '../../../domain/words/index'
import type { OutboxEntry } from '../../../store/queue/entry'
import { dismissEntry, restoreEntry, retryRejected } from '../../../store/queue/queue'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { saveWithToast, showToast } from '../../toast'
import { commandTitle } from './issueText'

const t = en.queue

/** Why the server refused an entry, and what can be done about it. */
export function RefusedEntry({ entry }: { entry: OutboxEntry }) {
  const because = entry.fields.length ? entry.fields.map(({ words }) => words) : [entry.words ?? '']
  return (
    <>
      <ListItem
        title={commandTitle(entry)}
        details={
          <>
            {entry.made_words}
            {because.map((words) => (
              <p key={words}>{t.because(words)}</p>
            ))}
          </>
        }
      />
      <ButtonRow>
        {/* Another person has answered: the same answer would be refused again. */}
        {entry.code !== 'already_settled' && (
          <Button label={t.tryAgain} onPress={() => void saveWithToast(() => retryRejected(entry.id))} />
        )}
        <DiscardEntry entry={entry} />
      </ButtonRow>
    </>
  )
}

export function DiscardEntry({ entry }: { entry: OutboxEntry }) {
  async function letGo() {
    if (await saveWithToast(() => dismissEntry(entry.id)))
      showToast(t.dismissed, () => restoreEntry(entry.id), t.bring)
  }
  return <Button label={t.dismiss} onPress={() => void letGo()} />
}
