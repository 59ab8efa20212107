import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { saveTrouble } from '../../../store/database/storageStatus'
import { openIssues } from '../../../store/issues'
import { queue, queueAsText, syncNow, syncSummary } from '../../../store/queue/queue'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { showToast } from '../../toast'
import { useNow } from '../../useNow'
import { issueTitle } from './issueText'
import { LostWork } from './LostWork'
import { PicturesToSend } from './PicturesToSend'
import { QueueEntries } from './QueueEntries'

const t = en.queue

function statusLines(now: number): string[] {
  const { forked, stopped, last_synced_at, signal } = syncSummary.value
  const since = last_synced_at && lastSyncText(Date.parse(last_synced_at), now, signal === 'yes')
  return [
    saveTrouble.value === 'no_room' ? t.noRoom : saveTrouble.value && t.unsaved,
    stopped === 'upgrade' && t.tooOld,
    forked && t.forked,
    since ? t.lastSeen(since) : t.neverSeen,
  ].filter((words): words is string => Boolean(words))
}

const A_MINUTE_MS = 60_000

/** When the server last answered; "now" within the last minute. */
function lastSyncText(then: number, now: number, answers: boolean): string {
  return answers || now - then >= A_MINUTE_MS ? format.value.since(then, now) : t.justBefore
}

function summaryText(waiting: number): string {
  const { pictures, lost } = syncSummary.value
  if (lost && !waiting && !pictures) return en.queueLine.lost(lost)
  if (!pictures) return waiting ? t.waiting(waiting) : t.empty
  return waiting ? en.pictures.toSend.waitingBoth(waiting, pictures) : en.pictures.toSend.waiting(pictures)
}

/** The outbox: everything the server may not have yet, and what it refused. */
export function Queue() {
  const [text, setText] = useState('')
  const now = useNow()
  const entries = queue.value
  const waiting = entries.filter((entry) => entry.status === 'waiting' || entry.status === 'sent')
  const signedOut = syncSummary.value.stopped === 'signed_out'

  async function copy() {
    const all = queueAsText()
    try {
      await navigator.clipboard.writeText(all)
      showToast(t.copied)
    } catch {
      setText(all)
      showToast(t.notCopied)
    }
  }
  return (
    <ShopPage
      title={t.title}
      subtitle={summaryText(waiting.length)}
      dock={
        signedOut ? (
          <PrimaryButton label={en.signIn.go} hint={en.signIn.again} to={{ at: 'sign-in' }} />
        ) : (
          <PrimaryButton label={t.tryNow} onPress={syncNow} />
        )
      }
    >
      {statusLines(now).map((words) => (
        <p class="multiline" key={words}>
          {words}
        </p>
      ))}
      <LostWork />
      <Issues />
      <QueueEntries now={now} waiting={waiting} />
      <PicturesToSend />
      {entries.length > 0 && (
        <ButtonRow stacked>
          <Button wide label={t.copy} onPress={() => void copy()} />
        </ButtonRow>
      )}
      {text && (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls, so the keyboard must reach it.
        <pre class="copy-text" tabIndex={0}>
          {text}
        </pre>
      )}
    </ShopPage>
  )
}

/** Issues that need a person. */
function Issues() {
  if (openIssues.value.length === 0) return null
  return (
    <Section title={t.issuesTitle} hint={t.issuesHint}>
      <List items={openIssues.value} keyOf={(issue) => issue.id} empty="">
        {(issue) => (
          <ListItem to={{ at: 'issue', id: issue.id }} title={issueTitle(issue)} details={issue.words} />
        )}
      </List>
    </Section>
  )
}
