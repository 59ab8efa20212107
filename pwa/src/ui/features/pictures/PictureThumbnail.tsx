import type { Attachment } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { Thumbnail } from '../../components/Picture'
import { uploadStatus } from './uploadStatus'
import { usePicture } from './usePicture'

const t = en.pictures

/** A picture of an unsaved form. */
export function DraftThumbnail({ id, alt }: { id: string; alt: string }) {
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

/** A picture of a row; without it here, why it is not. */
export function PictureThumbnail({ row, alt }: { row: Attachment; alt: string }) {
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
