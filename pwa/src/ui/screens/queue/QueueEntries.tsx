import { en } from '../../../domain/words/index'
import type { OutboxEntry } from '../../../store/queue/entry'
import { queue } from '../../../store/queue/queue'
import { ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { format } from '../../shopFormat'
import { commandTitle } from './issueText'
import { DiscardEntry, RefusedEntry } from './RefusedEntry'

const t = en.queue

interface EntriesProps {
  now: number
  waiting: readonly OutboxEntry[]
}

/** Refused, held and waiting entries. */
export function QueueEntries({ now, waiting }: EntriesProps) {
  const refused = queue.value.filter((entry) => entry.status === 'rejected')
  const held = queue.value.filter((entry) => entry.status === 'held')
  return (
    <>
      {refused.length > 0 && (
        <Section title={t.refusedTitle} hint={t.refusedHint}>
          <List items={refused} keyOf={(entry) => entry.id} empty="">
            {(entry) => <RefusedEntry entry={entry} />}
          </List>
        </Section>
      )}
      {held.length > 0 && (
        <Section title={t.heldTitle} hint={t.heldHint}>
          <List items={held} keyOf={(entry) => entry.id} empty="">
            {(entry) => (
              <>
                <ListItem
                  title={commandTitle(entry)}
                  details={[entry.made_words, entry.words].filter(Boolean).join(' · ')}
                />
                <ButtonRow>
                  <DiscardEntry entry={entry} />
                </ButtonRow>
              </>
            )}
          </List>
        </Section>
      )}
      {waiting.length > 0 && (
        <Section title={t.waitingTitle}>
          <List items={waiting} keyOf={(entry) => entry.id} empty="">
            {(entry) => (
              <ListItem
                title={commandTitle(entry)}
                details={[entry.made_words, t.since(format.value.since(Date.parse(entry.wall), now))].join(
                  ' · ',
                )}
              />
            )}
          </List>
        </Section>
      )}
    </>
  )
}
