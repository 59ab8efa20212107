import { useRef, useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { Key, Keys } from '../../components/Press'

/** What only the server works out: its answer, or that it could not be reached. */
export function useAsked<Answer, Question extends unknown[]>(
  read: (...question: Question) => Promise<Answer | null>,
) {
  const [answer, setAnswer] = useState<Answer | null>(null)
  const [failed, setFailed] = useState(false)
  const last = useRef(0)
  async function ask(...question: Question): Promise<void> {
    setFailed(false)
    setAnswer(null)
    last.current += 1
    const mine = last.current
    try {
      const found = await read(...question)
      // What was asked since has an answer of its own, whichever comes first.
      if (mine === last.current) setAnswer(found)
    } catch {
      if (mine === last.current) setFailed(true)
    }
  }
  return { answer, failed, ask }
}

export function NotReached({ onRetry }: { onRetry: () => void }) {
  return (
    <div class="blank" role="alert">
      <b>{en.hours.noSignal}</b>
      <Keys>
        <Key words={en.app.tryAgain} onPress={onRetry} />
      </Keys>
    </div>
  )
}
