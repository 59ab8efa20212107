import { en } from '../domain/words'
import { saveTrouble } from '../store/database/storageStatus'
import { openIssues } from '../store/issues'
import { syncSummary } from '../store/queue/queue'
import type { SyncState } from './components/StatusLine'

const t = en.queueLine

/** The state of the outbox in two or three words. */
export function syncState(): SyncState {
  const { waiting, pictures, stuck, refused, stopped, signal, lost } = syncSummary.value
  const unsent = waiting + pictures
  const needed = refused + stuck + openIssues.value.length
  const attention = (text: string): SyncState => ({
    text,
    mark: 'needs-attention',
    ...(unsent > 0 && { label: en.app.listed([text, t.toSend(unsent)]) }),
  })
  if (saveTrouble.value) return attention(t.cannotSave)
  if (stopped && unsent) return attention(t.signIn)
  if (lost) return attention(t.lost(lost))
  if (needed) return attention(t.needYou(needed))
  if (unsent && signal === 'no')
    return {
      text: t.toSend(unsent),
      label: en.app.listed([t.toSend(unsent), t.noSignal]),
      mark: 'no-signal',
    }
  if (unsent) return { text: t.toSend(unsent), mark: 'unsent' }
  return signal === 'no' ? { text: t.noSignal, mark: 'no-signal' } : { text: t.sent, mark: 'sent' }
}
