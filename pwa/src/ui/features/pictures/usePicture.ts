import { useEffect, useState } from 'preact/hooks'
import type { Attachment } from '../../../domain/contract'
import type { PictureSize, RecordedAs } from '../../../store/database/shopDatabase'
import type { Picture } from '../../../store/pictures/pictureStore'
import { loadPicture } from '../../../store/pictures/pictures'
import { syncSummary } from '../../../store/queue/queue'

interface Looked {
  picture: Picture | null
  url: string | null
}

/** A picture or voice note and an object URL for it; a missing one is fetched again when the signal comes back. */
export function usePicture(row: Pick<Attachment, 'id' | 'state'> & RecordedAs, size: PictureSize) {
  const [looked, setLooked] = useState<Looked | null>(null)
  const [unreadable, setUnreadable] = useState(false)
  const { id, state, media } = row
  const absent = looked !== null && looked.picture === null
  const { signal } = syncSummary.value
  // A picture on this phone does not depend on the signal.
  const again = absent && signal
  useEffect(() => {
    let url: string | null = null
    let over = false
    void loadPicture({ id, state, ...(media && { media }) }, size).then((picture) => {
      if (over) return
      url = picture && URL.createObjectURL(new Blob([picture.content], { type: picture.type }))
      setUnreadable(false)
      setLooked({ picture, url })
    })
    return () => {
      over = true
      if (url) URL.revokeObjectURL(url)
    }
  }, [id, state, media, size, again])
  return {
    picture: looked?.picture ?? null,
    url: looked?.url ?? null,
    absent,
    unreadable,
    onUnreadable: () => setUnreadable(true),
  }
}
