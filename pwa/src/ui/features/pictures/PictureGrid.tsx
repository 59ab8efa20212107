import type { ComponentChildren } from 'preact'
import { useEffect, useId, useRef, useState } from 'preact/hooks'
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
import { ButtonRow } from '../../components/Button'
import { FileButton, Thumbnail } from '../../components/Picture'
import { showToast } from '../../toast'
import { startDraft } from '../../useDraft'
import type { Recorded } from './recorder'
import { uploadStatus } from './uploadStatus'
import { usePicture } from './usePicture'
import { VoiceNote } from './VoiceNote'
import { VoiceRecorder } from './VoiceRecorder'

const t = en.pictures

/** The pictures and voice notes of a row, with buttons to add more. */
export function PictureGrid({ about_kind, about_id }: { about_kind: About; about_id: string }) {
  return (
    <WithButtons
      keep={(file) => addPicture(about_kind, about_id, file)}
      keepSound={(sound) => addVoiceNote(about_kind, about_id, sound, voice.name)}
    >
      <PictureStrip about_kind={about_kind} about_id={about_id} />
    </WithButtons>
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
    <WithButtons
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
    </WithButtons>
  )
}

async function withDraft(form: string, adding: Promise<AddPictureResult>): Promise<AddPictureResult> {
  const added = await adding
  if (added.done) startDraft(form)
  return added
}

interface AddingProps {
  keep: (file: File) => Promise<AddPictureResult>
  keepSound: (sound: Recorded) => Promise<AddPictureResult>
  children: ComponentChildren
}

/** Pictures and voice notes, with buttons to take, to choose and to record more. */
function WithButtons({ keep, keepSound, children }: AddingProps) {
  const [busy, setBusy] = useState(false)
  const [error, setError] = useState('')
  const id = useId()
  const errorId = error ? id : undefined
  const errorLine = useRef<HTMLParagraphElement>(null)
  useEffect(() => {
    if (error) errorLine.current?.scrollIntoView({ block: 'center' })
  }, [error])

  async function add(files: readonly File[]) {
    setBusy(true)
    setError('')
    let kept = 0
    for (const file of files) {
      const added = await keep(file)
      if (added.done) kept += 1
      else setError(t.wrong[added.because])
    }
    setBusy(false)
    if (kept > 0) showToast(kept === 1 ? t.kept : t.keptAll(kept))
  }
  return (
    <>
      {children}
      <p role="status">{busy && `${t.keeping} …`}</p>
      {error && (
        <p class="field-error" role="alert" id={id} ref={errorLine}>
          {error}
        </p>
      )}
      <ButtonRow>
        <FileButton camera errorId={errorId} label={t.take} onFiles={(files) => void add(files)} />
        <FileButton multiple errorId={errorId} label={t.choose} onFiles={(files) => void add(files)} />
        <VoiceRecorder keep={keepSound} onError={setError} />
      </ButtonRow>
    </>
  )
}

function DraftThumbnail({ id, alt }: { id: string; alt: string }) {
  const { url, unreadable, onUnreadable } = usePicture({ id, state: 'waiting' }, 'thumbnail')
  return (
    <Thumbnail
      to={{ at: 'picture-draw', id }}
      url={unreadable ? null : url}
      alt={alt}
      placeholder={unreadable ? t.unreadable : ''}
      caption=""
      status={t.status.unsaid}
      onLoadError={onUnreadable}
    />
  )
}

function PictureThumbnail({ row, alt }: { row: Attachment; alt: string }) {
  const { url, absent, unreadable, onUnreadable } = usePicture(row, 'thumbnail')
  const instead = unreadable ? t.unreadable : absent ? t.comes : t.looking
  return (
    <Thumbnail
      to={{ at: 'picture', id: row.id }}
      url={unreadable ? null : url}
      alt={alt}
      placeholder={row.state === 'ready' || url ? instead : ''}
      caption={row.caption}
      status={uploadStatus(row)}
      onLoadError={onUnreadable}
    />
  )
}
