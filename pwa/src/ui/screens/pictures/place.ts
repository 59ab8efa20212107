import { type Attachment, KINDS, type Kind } from '../../../domain/contract'
import type { Picture } from '../../../store/pictures/pictureStore'
import { addPreparedPicture } from '../../../store/pictures/pictures'
import { requireShopSession } from '../../../store/session/shopSession'
import type { Route } from '../../router'

/** The screen of what an attachment is about: that of its row, or the bench of its job. */
export function placeOf({ about_kind, about_id }: Pick<Attachment, 'about_kind' | 'about_id'>): Route {
  switch (about_kind) {
    case 'finding':
    case 'machine':
    case 'job':
    case 'stop':
      return { at: about_kind, id: about_id }
    default: {
      const kind = KINDS.find((one) => one === (about_kind as string)) as Kind | undefined
      const row = kind && requireShopSession().view.peek(kind, about_id)
      const job = row && 'job_id' in row ? row.job_id : null
      return job ? { at: 'job-bench', id: job } : { at: 'today' }
    }
  }
}

/** Adds a removed picture or voice note again, as it was. */
export async function bringBack(row: Attachment, held: Picture): Promise<void> {
  const { about_kind, about_id, taken_at, caption, media, seconds, drawn_from_id } = row
  const added = await addPreparedPicture(
    { about_kind, about_id, taken_at, caption, media, seconds, drawn_from_id },
    { picture: held, small: null },
  )
  if (!added.done) throw new Error(added.because)
}
