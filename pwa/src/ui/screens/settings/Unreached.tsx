import { en } from '../../../domain/words'
import { crew as its } from '../../../domain/words.crew'
import { Key } from '../../components/Press'

/** What stands where the server's answer would, while there is no signal. */
export function Unreached({ onRetry }: { onRetry: () => Promise<void> }) {
  return (
    <div class="blank" role="alert">
      <b>{its.unreached}</b>
      <Key words={en.app.tryAgain} onPress={() => void onRetry()} />
    </div>
  )
}
