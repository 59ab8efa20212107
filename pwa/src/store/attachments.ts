import type { AttachmentFields, Command } from '../domain/commands'
import type { About, Attachment } from '../domain/rows'
import type { Sending } from './db'
import { editOf } from './editing'
import { namesIn } from './naming'
import { opened } from './opened'
import { enqueue } from './outbox'
import { compare, of, one } from './shown'

/** The pictures of one thing, in the order they were taken. */
export const attachmentsAbout = (kind: About, id: string) =>
  of('attachment', 'about_id', id)
    .filter((row) => row.about_kind === kind)
    .sort((a, b) => compare(a.taken_at, b.taken_at) || compare(a.id, b.id))

export const attachment = (id: string) => one('attachment', id)

/** How far a picture taken here has come; undefined when the server has made it, or another phone took it. */
export const sendingOf = (id: string): Sending | undefined =>
  opened.value?.sending.value.find((sending) => sending.id === id)

/** The pictures taken on a form that is not saved yet, oldest first. */
export const unsaidOf = (form: string): Sending[] =>
  (opened.value?.sending.value ?? []).filter(
    (sending) => sending.unsaid?.form === form && !attachment(sending.id),
  )

/** The words of pictures that were taken on a form, once it is known what they are of. */
export function wordsOf(kept: readonly Sending[], about_kind: About, about_id: string): Command[] {
  return kept.flatMap(({ id, sha256, bytes, unsaid }) => {
    if (!unsaid) return []
    const { taken_at, caption } = unsaid
    return [{ name: 'add_attachment', args: { id, about_kind, about_id, taken_at, caption, sha256, bytes } }]
  })
}

/** What a picture is of, by the names people use for it. */
export const aboutWords = (id: string): string => {
  const view = opened.value?.view
  return view ? (namesIn(view, [{ name: 'remove_attachment', args: { id } }])[0] ?? '') : ''
}

/** Changes the words of a picture where they differ from what the person saw. */
export async function editAttachment(
  seen: Attachment,
  wanted: Partial<Pick<Attachment, AttachmentFields>>,
): Promise<void> {
  const edit = editOf(seen, wanted)
  if (edit) await enqueue('edit_attachment', edit)
}
