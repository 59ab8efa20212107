import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { Key, Keys } from '../../components/Press'

/** What only the server works out: its answer, or that it could not be reached. */
export function useAsked<Answer, Question extends unknown[]>(
  read: (...question: Question) => Promise<Answer | null>,
) {
  const [answer, setAnswer] = useState<Answer | null>(null)
  const [failed, setFailed] = useState(false)
  async function ask(...question: Question): Promise<void> {
    setFailed(false)
    try {
      setAnswer(await read(...question))
    } catch {
      setFailed(true)
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
