import { en } from '../../../domain/words'
import { programs as t } from '../../../domain/words/programs'
import { Button } from '../../components/Button'

/** Shown in place of the server's answer without a signal. */
export function Unreached({ onRetry }: { onRetry: () => Promise<void> }) {
  return (
    <div class="empty-state" role="alert">
      <b>{t.unreached}</b>
      <Button label={en.app.tryAgain} onPress={() => void onRetry()} />
    </div>
  )
}
