import type { ComponentChildren } from 'preact'
import { useEffect, useId, useRef, useState } from 'preact/hooks'
import type { About, Attachment } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { attachmentsAbout, formPicturesOf } from '../../../store/pictures/attachments'
import { type AddPictureResult, addFormPicture, addPicture } from '../../../store/pictures/pictures'
import { ButtonRow } from '../../components/Button'
import { FileButton, Thumbnail } from '../../components/Picture'
import { showToast } from '../../toast'
import { startDraft } from '../../useDraft'
import { uploadStatus } from './uploadStatus'
import { usePicture } from './usePicture'

const t = en.pictures

/** The pictures of a row. */
export function PictureGrid({ about_kind, about_id }: { about_kind: About; about_id: string }) {
  const rows = attachmentsAbout(about_kind, about_id)
  return (
    <GridWithButtons count={rows.length} keep={(file) => addPicture(about_kind, about_id, file)}>
      <Thumbnails rows={rows} />
    </GridWithButtons>
  )
}

/** The pictures of a row as a part of a list, without buttons; nothing where there are none. */
export function PictureStrip({ about_kind, about_id }: { about_kind: About; about_id: string }) {
  const rows = attachmentsAbout(about_kind, about_id)
  return rows.length > 0 ? (
    <ul class="picture-grid">
      <Thumbnails rows={rows} />
    </ul>
  ) : null
}

const Thumbnails = ({ rows }: { rows: readonly Attachment[] }) => (
  <>
    {rows.map((row, at) => (
      <li key={row.id}>
        <PictureThumbnail row={row} alt={row.caption || t.alt(at + 1, rows.length)} />
      </li>
    ))}
  </>
)

/** The pictures of an unsaved form; they are stored with its draft. */
export function DraftPictureGrid({ form }: { form: string }) {
  const kept = formPicturesOf(form)
  return (
    <GridWithButtons count={kept.length} keep={(file) => keepFor(form, file)}>
      {kept.map(({ id }, at) => (
        <li key={id}>
          <DraftThumbnail id={id} alt={t.alt(at + 1, kept.length)} />
        </li>
      ))}
    </GridWithButtons>
  )
}

async function keepFor(form: string, file: File): Promise<AddPictureResult> {
  const added = await addFormPicture(form, file)
  if (added.done) startDraft(form)
  return added
}

interface TakingProps {
  count: number
  keep: (file: File) => Promise<AddPictureResult>
  children: ComponentChildren
}

/** A grid of pictures with buttons to take and to choose more. */
function GridWithButtons({ count, keep, children }: TakingProps) {
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
      {count > 0 && <ul class="picture-grid">{children}</ul>}
      <p role="status">{busy && `${t.keeping} …`}</p>
      {error && (
        <p class="field-error" role="alert" id={id} ref={errorLine}>
          {error}
        </p>
      )}
      <ButtonRow>
        <FileButton camera errorId={errorId} label={t.take} onFiles={(files) => void add(files)} />
        <FileButton multiple errorId={errorId} label={t.choose} onFiles={(files) => void add(files)} />
      </ButtonRow>
    </>
  )
}

function DraftThumbnail({ id, alt }: { id: string; alt: string }) {
  const { url, unreadable, onUnreadable } = usePicture({ id, state: 'waiting' }, 'thumbnail')
  return (
    <Thumbnail
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
