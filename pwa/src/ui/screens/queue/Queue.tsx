import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { openIssues } from '../../../store/issues'
import { copyOut, queue, status, tryNow } from '../../../store/queue'
import { trouble } from '../../../store/storage'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { figures } from '../../shopFigures'
import { tell } from '../../telling'
import { Sheet } from '../Sheet'
import { commandTitle, issueTitle } from './issueWords'
import { PicturesToSend } from './PicturesToSend'
import { LetGo, Refused } from './Refused'

const its = en.queue

function told(): string[] {
  const { forked, stopped, last_synced_at } = status.value
  const since = last_synced_at && figures.value.since(Date.parse(last_synced_at), Date.now())
  return [
    trouble.value === 'no_room' ? its.noRoom : trouble.value && its.unsaved,
    stopped === 'retired' && its.retired,
    stopped === 'upgrade' && its.tooOld,
    forked && its.forked,
    since ? its.lastSeen(since) : its.neverSeen,
  ].filter((words): words is string => Boolean(words))
}

function under(waiting: number): string {
  const { pictures } = status.value
  if (!pictures) return waiting ? its.waiting(waiting) : its.empty
  return waiting ? en.pictures.toSend.waitingBoth(waiting, pictures) : en.pictures.toSend.waiting(pictures)
}

/** Everything written here that the server may not have yet, and what became of the rest. */
export function Queue() {
  const [text, setText] = useState('')
  const entries = queue.value
  const waiting = entries.filter((entry) => entry.status === 'waiting' || entry.status === 'sent')
  const refused = entries.filter((entry) => entry.status === 'rejected')
  const held = entries.filter((entry) => entry.status === 'held')
  const signedOut = status.value.stopped === 'signed_out'

  async function copy() {
    const all = copyOut()
    try {
      await navigator.clipboard.writeText(all)
      tell(its.copied)
    } catch {
      setText(all)
      tell(its.notCopied)
    }
  }
  return (
    <Sheet
      title={its.title}
      under={under(waiting.length)}
      back={{ at: 'today' }}
      dock={
        signedOut ? (
          <Slab words={en.signIn.go} hint={en.signIn.again} to={{ at: 'sign-in' }} />
        ) : (
          <Slab words={its.tryNow} onPress={tryNow} />
        )
      }
    >
      {told().map((words) => (
        <p class="lines" key={words}>
          {words}
        </p>
      ))}
      {openIssues.value.length > 0 && (
        <Part title={its.issuesTitle} hint={its.issuesHint}>
          <Rows items={openIssues.value} keyOf={(issue) => issue.id} empty="">
            {(issue) => (
              <Row to={{ at: 'issue', id: issue.id }} lead={issueTitle(issue)} also={issue.words} />
            )}
          </Rows>
        </Part>
      )}
      {refused.length > 0 && (
        <Part title={its.refusedTitle} hint={its.refusedHint}>
          <Rows items={refused} keyOf={(entry) => entry.id} empty="">
            {(entry) => <Refused entry={entry} />}
          </Rows>
        </Part>
      )}
      {held.length > 0 && (
        <Part title={its.heldTitle} hint={its.heldHint}>
          <Rows items={held} keyOf={(entry) => entry.id} empty="">
            {(entry) => (
              <>
                <Row
                  lead={commandTitle(entry)}
                  also={[entry.made_words, entry.words].filter(Boolean).join(' · ')}
                />
                <Keys>
                  <LetGo entry={entry} />
                </Keys>
              </>
            )}
          </Rows>
        </Part>
      )}
      {waiting.length > 0 && (
        <Part title={its.waitingTitle}>
          <Rows items={waiting} keyOf={(entry) => entry.id} empty="">
            {(entry) => (
              <Row
                lead={commandTitle(entry)}
                also={[
                  entry.made_words,
                  its.since(figures.value.since(Date.parse(entry.wall), Date.now())),
                ].join(' · ')}
              />
            )}
          </Rows>
        </Part>
      )}
      <PicturesToSend />
      {entries.length > 0 && (
        <Keys tall>
          <Key wide words={its.copy} onPress={() => void copy()} />
        </Keys>
      )}
      {text && (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls, so the keyboard must reach it.
        <pre class="copyout" tabIndex={0}>
          {text}
        </pre>
      )}
    </Sheet>
  )
}
