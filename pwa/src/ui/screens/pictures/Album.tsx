import type { ComponentChildren } from 'preact'
import { useEffect, useRef, useState } from 'preact/hooks'
import type { About, Attachment } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { attachmentsAbout, unsaidOf } from '../../../store/attachments'
import { type Added, addPicture, keepForForm } from '../../../store/pictures'
import { FileKey, Thumbnail } from '../../components/Picture'
import { Keys } from '../../components/Press'
import { tell } from '../../telling'
import { standing } from './standing'
import { usePicture } from './usePicture'

const its = en.pictures

/** The pictures of a thing. */
export function Album({ about_kind, about_id }: { about_kind: About; about_id: string }) {
  const rows = attachmentsAbout(about_kind, about_id)
  return (
    <Taking count={rows.length} keep={(file) => addPicture(about_kind, about_id, file)}>
      {rows.map((row, at) => (
        <li key={row.id}>
          <Small row={row} alt={row.caption || its.alt(at + 1, rows.length)} />
        </li>
      ))}
    </Taking>
  )
}

/** The pictures taken on a form that is not saved yet; they wait for it here, also when it is left. */
export function Kept({ form }: { form: string }) {
  const kept = unsaidOf(form)
  return (
    <Taking count={kept.length} keep={(file) => keepForForm(form, file)}>
      {kept.map(({ id }, at) => (
        <li key={id}>
          <Unsaid id={id} alt={its.alt(at + 1, kept.length)} />
        </li>
      ))}
    </Taking>
  )
}

interface TakingProps {
  count: number
  keep: (file: File) => Promise<Added>
  children: ComponentChildren
}

/** Pictures with keys to take and to choose more. */
function Taking({ count, keep, children }: TakingProps) {
  const [busy, setBusy] = useState(false)
  const [wrong, setWrong] = useState('')
  const told = useRef<HTMLParagraphElement>(null)
  useEffect(() => {
    if (wrong) told.current?.scrollIntoView({ block: 'center' })
  }, [wrong])

  async function add(files: readonly File[]) {
    setBusy(true)
    setWrong('')
    let kept = 0
    for (const file of files) {
      const added = await keep(file)
      if (added.done) kept += 1
      else setWrong(its.wrong[added.because])
    }
    setBusy(false)
    if (kept > 0) tell(kept === 1 ? its.kept : its.keptAll(kept))
  }
  return (
    <>
      {count > 0 && <ul class="album">{children}</ul>}
      {count === 0 && !busy && <p class="blank">{its.none}</p>}
      <p role="status">{busy && `${its.keeping} …`}</p>
      {wrong && (
        <p class="wrong" role="alert" ref={told}>
          {wrong}
        </p>
      )}
      <Keys>
        <FileKey camera words={its.take} onFiles={(files) => void add(files)} />
        <FileKey many words={its.choose} onFiles={(files) => void add(files)} />
      </Keys>
    </>
  )
}

function Unsaid({ id, alt }: { id: string; alt: string }) {
  const { url, unreadable, onUnreadable } = usePicture({ id, state: 'waiting' }, 'thumbnail')
  return (
    <Thumbnail
      url={unreadable ? null : url}
      alt={alt}
      instead={unreadable ? its.unreadable : ''}
      caption=""
      stands={its.stands.unsaid}
      onUnreadable={onUnreadable}
    />
  )
}

function Small({ row, alt }: { row: Attachment; alt: string }) {
  const { url, absent, unreadable, onUnreadable } = usePicture(row, 'thumbnail')
  const instead = unreadable ? its.unreadable : absent ? its.comes : its.looking
  return (
    <Thumbnail
      to={{ at: 'picture', id: row.id }}
      url={unreadable ? null : url}
      alt={alt}
      instead={row.state === 'ready' || url ? instead : ''}
      caption={row.caption}
      stands={standing(row)}
      onUnreadable={onUnreadable}
    />
  )
}
