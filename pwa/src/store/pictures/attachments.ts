import type { About, Attachment, Command } from '../../domain/contract'
import type { PendingUpload } from '../database/shopDatabase'
import { type Changes, sendEdit } from '../queue/commands'
import { byId, compare, ownedBy } from '../rows/selectors'
import { shopSession } from '../session/shopSession'

/** The pictures and voice notes of one row, in the order they were taken. */
export const attachmentsAbout = (kind: About, id: string) =>
  ownedBy('attachment', 'about_id', id)
    .filter((row) => row.about_kind === kind)
    .sort((a, b) => compare(a.taken_at, b.taken_at) || compare(a.id, b.id))

/** A row that was pulled before there were voice notes does not say that it is a picture. */
export const isVoiceNote = ({ media }: { media?: Attachment['media'] | undefined }) => media === 'voice'

/** The pictures of one row, in the order they were taken. */
export const picturesAbout = (kind: About, id: string) =>
  attachmentsAbout(kind, id).filter((row) => !isVoiceNote(row))

export const attachment = (id: string) => byId('attachment', id)

/** Upload state of a picture taken here; undefined when the server has processed it, or another phone took it. */
export const uploadOf = (id: string): PendingUpload | undefined =>
  shopSession.value?.sending.value.find((sending) => sending.id === id)

/** The pictures and voice notes taken on a form that is not saved yet, oldest first. */
export const formPicturesOf = (form: string): PendingUpload[] =>
  (shopSession.value?.sending.value ?? []).filter(
    (sending) => sending.unsaid?.form === form && !attachment(sending.id),
  )

/** The attachment commands of a form's pictures, once their row is known; each gets the `label`, if there is one. */
export function attachCommands(
  kept: readonly PendingUpload[],
  about_kind: About,
  about_id: string,
  label?: string,
): Command[] {
  return kept.flatMap(({ id, sha256, bytes, unsaid }) => {
    if (!unsaid) return []
    const { form: _, caption: own, ...rest } = unsaid
    const caption = label ?? own
    return [{ name: 'add_attachment', args: { id, about_kind, about_id, ...rest, caption, sha256, bytes } }]
  })
}

export const editAttachment = (seen: Attachment, wanted: Changes<'edit_attachment'>) =>
  sendEdit('edit_attachment', seen, wanted)
