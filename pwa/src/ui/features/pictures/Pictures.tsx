import type { About } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { Section } from '../../components/Section'
import { lazy } from '../../lazy'

const Album = lazy<{ about_kind: About; about_id: string }>(() =>
  import('./PictureGrid').then((module) => module.PictureGrid),
)

/** The pictures of a row as a part of a list. */
export const PictureStrip = lazy<{ about_kind: About; about_id: string }>(() =>
  import('./PictureGrid').then((module) => module.PictureStrip),
)

/** The pictures of a row, with buttons to take and to choose more. */
export function Pictures({ bare, ...props }: { about_kind: About; about_id: string; bare?: boolean }) {
  if (bare) return <Album {...props} />
  return (
    <Section title={en.pictures.title}>
      <Album {...props} />
    </Section>
  )
}

const Kept = lazy<{ form: string }>(() => import('./PictureGrid').then((module) => module.DraftPictureGrid))

/** The pictures of a form that is not saved yet. */
export function DraftPictures({ form, title = en.pictures.title }: { form: string; title?: string }) {
  return (
    <Section title={title}>
      <Kept form={form} />
    </Section>
  )
}
