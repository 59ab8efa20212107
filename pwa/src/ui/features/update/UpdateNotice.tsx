import { en } from '../../../domain/words/index'
import { canUpdate, switchToUpdate, tooOld, updateReady } from '../../../store/browser/appUpdate'
import { Button, ButtonRow } from '../../components/Button'

/**
 * Offers an update when a new version is installed; it takes over only on request and when nothing would be lost. Also
 * says when the server no longer accepts this version and the new one is not downloaded yet.
 */
export function UpdateNotice() {
  if (!updateReady.value) return tooOld.value ? <TooOld /> : null
  const may = canUpdate.value
  return (
    <section class="card" aria-label={en.update.ready} role="status">
      <b>{en.update.ready}</b>
      <p>{may ? en.update.hint : en.update.waits}</p>
      {may && (
        <ButtonRow stacked>
          <Button wide label={en.update.go} onPress={() => switchToUpdate()} />
        </ButtonRow>
      )}
    </section>
  )
}

function TooOld() {
  return (
    <section class="card" aria-label={en.update.tooOld} role="status">
      <b>{en.update.tooOld}</b>
      <p>{en.update.fetching}</p>
    </section>
  )
}
