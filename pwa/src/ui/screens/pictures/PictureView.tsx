import type { Attachment } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { drawing } from '../../../domain/words/drawing'
import { attachment, editAttachment, isVoiceNote, picturesAbout } from '../../../store/pictures/attachments'
import type { Picture } from '../../../store/pictures/pictureStore'
import { removePicture } from '../../../store/pictures/pictures'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { uploadStatus } from '../../features/pictures/uploadStatus'
import { usePicture } from '../../features/pictures/usePicture'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { bringBack, placeOf } from './place'
import { VoiceNoteView } from './VoiceNoteView'

const t = en.pictures

/** One picture at full width, with its caption. */
export function PictureView({ id }: { id: string }) {
  const row = attachment(id)
  const seen = useOriginal(`picture:${id}`, row)
  if (!row || !seen) return <NotFound />
  return isVoiceNote(row) ? <VoiceNoteView row={row} seen={seen} /> : <PictureDetails row={row} seen={seen} />
}

function PictureDetails({ row, seen }: { row: Attachment; seen: Attachment }) {
  const { picture, url, absent, unreadable, onUnreadable } = usePicture(row, 'picture')
  const form = useForm({
    name: `picture:${row.id}`,
    blank: { caption: seen.caption },
    save: (fields) => editAttachment(seen, fields),
    back: placeOf(row),
  })
  const original = row.drawn_from_id ? attachment(row.drawn_from_id) : undefined
  const all = picturesAbout(row.about_kind, row.about_id)
  const alt = row.caption || t.alt(all.findIndex(({ id }) => id === row.id) + 1, all.length)

  async function remove(held: Picture | null) {
    await removePicture(row.id)
    return held ? () => bringBack(row, held) : undefined
  }
  return (
    <FormPage
      form={form}
      overline={t.one}
      title={alt}
      subtitle={t.taken(format.value.since(Date.parse(row.taken_at), Date.now()))}
      saveLabel={t.save}
      before={
        <figure class="picture">
          {url && !unreadable ? (
            <img src={url} alt={alt} onError={onUnreadable} />
          ) : (
            <p class="empty-state">{instead(row, absent, unreadable)}</p>
          )}
          <figcaption>
            <p role="status">{uploadStatus(row)}</p>
          </figcaption>
        </figure>
      }
      after={
        (picture || row.state === 'refused') && (
          // A picture that is not on this phone could not be restored.
          <ButtonRow stacked>
            {picture && <Button wide label={drawing.start} to={{ at: 'picture-draw', id: row.id }} />}
            {original && <Button wide label={drawing.original} to={{ at: 'picture', id: original.id }} />}
            <Button
              wide
              label={t.remove}
              onPress={() => void form.remove({ action: () => remove(picture), text: t.removed })}
            />
          </ButtonRow>
        )
      }
    >
      <TextField multiline label={t.caption} hint={t.captionHint} {...form.field('caption')} />
    </FormPage>
  )
}

function instead(row: Attachment, absent: boolean, unreadable: boolean): string {
  if (unreadable) return t.unreadable
  if (!absent) return t.looking
  if (row.state === 'waiting') return t.gone
  // Processing and refusal are reported below the picture.
  return row.state === 'ready' ? t.comes : t.none
}
