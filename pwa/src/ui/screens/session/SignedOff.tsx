import { signedOff as t } from '../../../domain/words/signedOff'
import { queueAsText, syncNow, syncSummary, unsentPictures } from '../../../store/queue/queue'
import { erasePictures, unsentPicture } from '../../../store/session/signedOffDevice'
import { Button, ButtonRow } from '../../components/Button'
import { Page } from '../../components/Page'
import { currentToast, showToast } from '../../toast'
import { SignIn } from './SignIn'

/** Shown on a phone that was signed out remotely with unsent work: that work, and nothing else of the shop. */
export function SignedOff() {
  const { waiting, stopped } = syncSummary.value
  const pictures = unsentPictures.value
  if (stopped === 'signed_out' && waiting > 0) return <SignIn />
  return (
    <Page title={t.title} subtitle={t.lead} toast={currentToast.value}>
      <p role="status">{waiting > 0 ? t.waiting(waiting) : pictures.length === 0 && t.done}</p>
      {waiting > 0 && (
        <ButtonRow stacked>
          <Button wide label={t.tryNow} onPress={syncNow} />
          <Button wide label={t.copy} onPress={() => void copy()} />
        </ButtonRow>
      )}
      {pictures.length > 0 && (
        <>
          <p>{t.pictures(pictures.length)}</p>
          <ButtonRow stacked>
            <Button wide label={t.save} onPress={() => void save(pictures.map(({ id }) => id))} />
            <Button wide label={t.erase} onPress={() => void erasePictures()} />
          </ButtonRow>
        </>
      )}
    </Page>
  )
}

async function copy(): Promise<void> {
  const text = queueAsText()
  try {
    await navigator.clipboard.writeText(text)
    showToast(t.copied)
  } catch {
    showToast(text)
  }
}

/** Saves the pictures to the phone's downloads, one file each. */
async function save(ids: readonly string[]): Promise<void> {
  for (const id of ids) {
    const picture = await unsentPicture(id)
    if (!picture) continue
    const link = document.createElement('a')
    link.href = URL.createObjectURL(new Blob([picture.content], { type: picture.type }))
    link.download = `${id}.${picture.type.split('/')[1] ?? 'jpg'}`
    link.click()
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000)
  }
}
