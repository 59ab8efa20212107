import type { Attachment } from '../../../domain/contract'
import { voiceNotes as t } from '../../../domain/words/voiceNotes'
import { editAttachment } from '../../../store/pictures/attachments'
import type { Picture } from '../../../store/pictures/pictureStore'
import { removePicture } from '../../../store/pictures/pictures'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { lengthText } from '../../features/pictures/lengthText'
import { uploadStatus } from '../../features/pictures/uploadStatus'
import { usePicture } from '../../features/pictures/usePicture'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'
import { bringBack, placeOf } from './place'

/** One voice note: played, given words, downloaded or deleted. */
export function VoiceNoteView({ row, seen }: { row: Attachment; seen: Attachment }) {
  const { picture: sound, url, absent, unreadable, onUnreadable } = usePicture(row, 'picture')
  const form = useForm({
    name: `picture:${row.id}`,
    blank: { caption: seen.caption },
    save: (fields) => editAttachment(seen, fields),
    back: placeOf(row),
  })
  const title = row.caption || t.name
  const length = row.seconds === null ? '' : ` · ${lengthText(row.seconds)}`

  async function remove(held: Picture | null) {
    await removePicture(row.id)
    return held ? () => bringBack(row, held) : undefined
  }
  return (
    <FormPage
      form={form}
      overline={t.name}
      title={title}
      subtitle={t.recorded(format.value.since(Date.parse(row.taken_at), Date.now())) + length}
      saveLabel={t.save}
      before={
        <figure class="picture">
          {url && !unreadable ? (
            // biome-ignore lint/a11y/useMediaCaption: nobody has written down what was said; the field below is for that
            <audio controls src={url} aria-label={title} onError={onUnreadable} />
          ) : (
            <p class="empty-state">{instead(row, absent, unreadable)}</p>
          )}
          <figcaption>
            <p role="status">{uploadStatus(row)}</p>
          </figcaption>
        </figure>
      }
      after={
        <ButtonRow stacked>
          {url && sound && (
            <a class="button wide" href={url} download={`voice-note-${row.id}.${sound.type.slice(6)}`}>
              {t.download}
            </a>
          )}
          {(sound || row.state === 'refused') && (
            // One that is not on this phone could not be restored.
            <Button
              wide
              label={t.remove}
              onPress={() => void form.remove({ action: () => remove(sound), text: t.removed })}
            />
          )}
        </ButtonRow>
      }
    >
      <TextField multiline label={t.caption} hint={t.captionHint} {...form.field('caption')} />
    </FormPage>
  )
}

function instead(row: Attachment, absent: boolean, unreadable: boolean): string {
  if (unreadable) return t.wrong.unplayable
  if (!absent) return t.looking
  return row.state === 'waiting' ? t.gone : row.state === 'ready' ? t.comes : ''
}
