import { useComputed } from '@preact/signals'
import type { ComponentProps } from 'preact'
import { en } from '../../domain/words'
import { openIssues } from '../../store/issues'
import { status } from '../../store/queue'
import { trouble } from '../../store/storage'
import { Page, type QueueLine } from '../components/Page'
import { telling } from '../telling'

/** What became of everything written here, in one line of plain words. */
function queueLine(): QueueLine {
  const { waiting, pictures, stuck, refused, stopped, signal, working } = status.value
  const calling = refused + stuck + openIssues.value.length
  if (trouble.value) return { words: en.queue.cannotSave, calls: true }
  if (stopped && waiting + pictures) return { words: en.queue.signInAgain(waiting + pictures), calls: true }
  if (calling) return { words: en.queue.attention(calling), calls: true }
  if (!waiting && !pictures) return { words: en.queue.allSent, calls: false }
  const its = working || signal === 'yes' ? 'sending' : 'waiting'
  if (!pictures) return { words: en.queue[its](waiting), calls: false }
  if (!waiting) return { words: en.pictures.toSend[its](pictures), calls: false }
  return { words: en.pictures.toSend[`${its}Both`](waiting, pictures), calls: false }
}

type Props = Omit<ComponentProps<typeof Page>, 'queue' | 'told'>

/** A page of the shop's own: joined to the queue and to what was just told. */
export function Sheet(props: Props) {
  const line = useComputed(queueLine)
  return <Page {...props} queue={line.value} told={telling.value} />
}
