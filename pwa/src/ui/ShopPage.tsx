import { useComputed } from '@preact/signals'
import type { ComponentProps } from 'preact'
import { en } from '../domain/words'
import { saveTrouble } from '../store/database/storageStatus'
import { openIssues } from '../store/issues'
import { syncSummary } from '../store/queue/queue'
import { Page, type QueueStatus } from './components/Page'
import { parentRoute } from './routeAccess'
import { currentRoute } from './router'
import { currentToast } from './toast'

/** The state of the outbox in one line of text. */
function queueStatus(): QueueStatus {
  const { waiting, pictures, stuck, refused, stopped, signal, working, lost } = syncSummary.value
  const needingAttention = refused + stuck + openIssues.value.length
  const unsent = waiting + pictures
  const { short, andUnsent } = en.queueLine
  const attention = (text: string, brief: string) => ({
    text: unsent ? andUnsent(brief, unsent) : text,
    needsAttention: true,
  })
  if (saveTrouble.value) return attention(en.queueLine.cannotSave, short.cannotSave)
  if (stopped && unsent) return { text: en.queueLine.signInAgain(unsent), needsAttention: true }
  if (lost) return attention(en.queueLine.lost(lost), short.lost(lost))
  if (needingAttention)
    return attention(en.queueLine.attention(needingAttention), short.attention(needingAttention))
  if (!waiting && !pictures) return { text: en.queueLine.allSent, needsAttention: false }
  const state = working || signal === 'yes' ? 'sending' : 'waiting'
  if (!pictures) return { text: en.queueLine[state](waiting), needsAttention: false }
  if (!waiting) return { text: en.queueLine.pictures[state](pictures), needsAttention: false }
  return { text: en.queueLine.pictures[`${state}Both`](waiting, pictures), needsAttention: false }
}

type Props = Omit<ComponentProps<typeof Page>, 'queue' | 'toast'>

/** A page for members: joined to the queue status, the current toast and the back link of the route. */
export function ShopPage(props: Props) {
  const queue = useComputed(queueStatus)
  return (
    <Page
      back={parentRoute(currentRoute.value.at)}
      {...props}
      queue={queue.value}
      toast={currentToast.value}
    />
  )
}
