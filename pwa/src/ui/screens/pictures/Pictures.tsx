import type { About } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { Part } from '../../components/Part'
import { later } from '../../later'

const Album = later<{ about_kind: About; about_id: string }>(() =>
  import('./Album').then((module) => module.Album),
)

/** The pictures of a thing, with keys to take and to choose more. */
export function Pictures(props: { about_kind: About; about_id: string }) {
  return (
    <Part title={en.pictures.title}>
      <Album {...props} />
    </Part>
  )
}

const Kept = later<{ form: string }>(() => import('./Album').then((module) => module.Kept))

/** The same on a form that is not saved yet. */
export function KeptPictures(props: { form: string }) {
  return (
    <Part title={en.pictures.title}>
      <Kept {...props} />
    </Part>
  )
}

export const PictureView = later<{ id: string }>(() =>
  import('./PictureView').then((module) => module.PictureView),
)
