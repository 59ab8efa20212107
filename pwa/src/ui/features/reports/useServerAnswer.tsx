import { useRef, useState } from 'preact/hooks'
import { en } from '../../../domain/words/index'
import { Button, ButtonRow } from '../../components/Button'

/** A value that only the server computes: the answer, or that it could not be reached. */
export function useServerAnswer<Answer, Question extends unknown[]>(
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
      // A newer question has its own answer, whichever arrives first.
      if (mine === last.current) setAnswer(found)
    } catch {
      if (mine === last.current) setFailed(true)
    }
  }
  return { answer, failed, ask }
}

export function ServerUnreachable({ onRetry }: { onRetry: () => void }) {
  return (
    <div class="empty-state" role="alert">
      <b>{en.timeReports.noSignal}</b>
      <ButtonRow>
        <Button label={en.app.tryAgain} onPress={onRetry} />
      </ButtonRow>
    </div>
  )
}
