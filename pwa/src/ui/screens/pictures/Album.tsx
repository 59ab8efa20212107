import { useEffect, useRef, useState } from 'preact/hooks'
import type { About, Attachment } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { attachmentsAbout } from '../../../store/attachments'
import { addPicture } from '../../../store/pictures'
import { FileKey, Thumbnail } from '../../components/Picture'
import { Keys } from '../../components/Press'
import { tell } from '../../telling'
import { standing } from './standing'
import { usePicture } from './usePicture'

const its = en.pictures

export function Album({ about_kind, about_id }: { about_kind: About; about_id: string }) {
  const [busy, setBusy] = useState(false)
  const [wrong, setWrong] = useState('')
  const told = useRef<HTMLParagraphElement>(null)
  useEffect(() => {
    if (wrong) told.current?.scrollIntoView({ block: 'center' })
  }, [wrong])
  const rows = attachmentsAbout(about_kind, about_id)

  async function add(files: readonly File[]) {
    setBusy(true)
    setWrong('')
    let kept = 0
    for (const file of files) {
      const added = await addPicture(about_kind, about_id, file)
      if (added.done) kept += 1
      else setWrong(its.wrong[added.because])
    }
    setBusy(false)
    if (kept > 0) tell(kept === 1 ? its.kept : its.keptAll(kept))
  }
  return (
    <>
      {rows.length > 0 && (
        <ul class="album">
          {rows.map((row, at) => (
            <li key={row.id}>
              <Small row={row} alt={row.caption || its.alt(at + 1, rows.length)} />
            </li>
          ))}
        </ul>
      )}
      {rows.length === 0 && !busy && <p class="blank">{its.none}</p>}
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
