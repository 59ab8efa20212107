import type { ComponentChildren } from 'preact'
import type { About, Attachment } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { voiceNotes as voice } from '../../../domain/words/voiceNotes'
import type { PendingUpload } from '../../../store/database/shopDatabase'
import { attachmentsAbout, formPicturesOf, isVoiceNote } from '../../../store/pictures/attachments'
import {
  type AddPictureResult,
  addFormPicture,
  addFormVoiceNote,
  addPicture,
  addVoiceNote,
} from '../../../store/pictures/pictures'
import { startDraft } from '../../useDraft'
import { DraftThumbnail, PictureThumbnail } from './PictureThumbnail'
import { uploadStatus } from './uploadStatus'
import { VoiceNote } from './VoiceNote'
import { WithAddButtons } from './WithAddButtons'

const t = en.pictures

/** The pictures and voice notes of a row, with buttons to add more. */
export function PictureGrid({ about_kind, about_id }: { about_kind: About; about_id: string }) {
  return (
    <WithAddButtons
      keep={(file) => addPicture(about_kind, about_id, file)}
      keepSound={(sound) => addVoiceNote(about_kind, about_id, sound, voice.name)}
    >
      <PictureStrip about_kind={about_kind} about_id={about_id} />
    </WithAddButtons>
  )
}

/** The pictures and voice notes of a row as a part of a list, without buttons; nothing where there are none. */
export function PictureStrip({ about_kind, about_id }: { about_kind: About; about_id: string }) {
  const rows = attachmentsAbout(about_kind, about_id)
  const pictures = rows.filter((row) => !isVoiceNote(row))
  const notes = rows.filter(isVoiceNote)
  return (
    <>
      <Grid>
        {pictures.map((row, at) => (
          <li key={row.id}>
            <PictureThumbnail row={row} alt={row.caption || t.alt(at + 1, pictures.length)} />
          </li>
        ))}
      </Grid>
      <Notes>
        {notes.map((row, at) => (
          <li key={row.id}>
            <VoiceNote opens row={row} name={noteName(row, at, notes.length)} status={uploadStatus(row)} />
          </li>
        ))}
      </Notes>
    </>
  )
}

/** The caption, with its place among several of the same row: most have the caption they were made with. */
const noteName = ({ caption }: Pick<Attachment, 'caption'>, at: number, count: number) =>
  caption && caption !== voice.name ? caption : count > 1 ? voice.alt(at + 1, count) : voice.name

const Grid = ({ children }: { children: ComponentChildren[] }) =>
  children.length > 0 ? <ul class="picture-grid">{children}</ul> : null
const Notes = ({ children }: { children: ComponentChildren[] }) =>
  children.length > 0 ? <ul class="voice-notes">{children}</ul> : null

/** The pictures and voice notes of an unsaved form; they are stored with its draft. */
export function DraftPictureGrid({ form }: { form: string }) {
  const kept = formPicturesOf(form)
  const isNote = ({ unsaid }: PendingUpload) => isVoiceNote({ media: unsaid?.media })
  const pictures = kept.filter((each) => !isNote(each))
  const notes = kept.filter(isNote)
  return (
    <WithAddButtons
      keep={(file) => withDraft(form, addFormPicture(form, file))}
      keepSound={(sound) => withDraft(form, addFormVoiceNote(form, sound, voice.name))}
    >
      <Grid>
        {pictures.map(({ id }, at) => (
          <li key={id}>
            <DraftThumbnail id={id} alt={t.alt(at + 1, pictures.length)} />
          </li>
        ))}
      </Grid>
      <Notes>
        {notes.map(({ id, unsaid }, at) => (
          <li key={id}>
            <VoiceNote
              row={{ id, state: 'waiting', seconds: unsaid?.seconds ?? null }}
              name={noteName({ caption: '' }, at, notes.length)}
              status={t.status.unsaid}
            />
          </li>
        ))}
      </Notes>
    </WithAddButtons>
  )
}

async function withDraft(form: string, adding: Promise<AddPictureResult>): Promise<AddPictureResult> {
  const added = await adding
  if (added.done) startDraft(form)
  return added
}
