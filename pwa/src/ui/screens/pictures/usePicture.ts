import { useEffect, useState } from 'preact/hooks'
import type { Attachment } from '../../../domain/rows'
import type { Picture } from '../../../store/album'
import type { Size } from '../../../store/db'
import { pictureOf } from '../../../store/pictures'
import { status } from '../../../store/queue'

interface Looked {
  picture: Picture | null
  url: string | null
}

/** A picture and an address to show it from; what is absent is looked for again when the signal comes back. */
export function usePicture(row: Pick<Attachment, 'id' | 'state'>, size: Size) {
  const [looked, setLooked] = useState<Looked | null>(null)
  const [unreadable, setUnreadable] = useState(false)
  const { id, state } = row
  const absent = looked !== null && looked.picture === null
  const { signal } = status.value
  // A picture that is here does not change with the signal.
  const again = absent && signal
  useEffect(() => {
    let url: string | null = null
    let over = false
    void pictureOf({ id, state }, size).then((picture) => {
      if (over) return
      url = picture && URL.createObjectURL(new Blob([picture.content], { type: picture.type }))
      setUnreadable(false)
      setLooked({ picture, url })
    })
    return () => {
      over = true
      if (url) URL.revokeObjectURL(url)
    }
  }, [id, state, size, again])
  return {
    picture: looked?.picture ?? null,
    url: looked?.url ?? null,
    absent,
    unreadable,
    onUnreadable: () => setUnreadable(true),
  }
}
