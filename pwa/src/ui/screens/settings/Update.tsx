import { en } from '../../../domain/words'
import { mayTakeOver, takeOver, updateReady } from '../../../store/update'
import { Key, Keys } from '../../components/Press'

/** Says that a new version waits; it takes over only when asked and when nothing would be lost. */
export function Update() {
  if (!updateReady.value) return null
  const may = mayTakeOver.value
  return (
    <section class="ticket" aria-label={en.update.ready} role="status">
      <b>{en.update.ready}</b>
      <p>{may ? en.update.hint : en.update.waits}</p>
      {may && (
        <Keys tall>
          <Key wide words={en.update.go} onPress={() => takeOver()} />
        </Keys>
      )}
    </section>
  )
}
