/** Adding, showing and removing pictures and voice notes. Loaded only where needed. */
import { getPicture, getVoiceNote } from '../../api/pictures'
import { NoSignal, Problem } from '../../api/problem'
import type { About, Attachment } from '../../domain/contract'
import { moment } from '../../domain/time'
import { newId } from '../browser/clock'
import { sha256Hex } from '../browser/sha256'
import { type FormPicture, isQuotaError, type PictureSize, type RecordedAs } from '../database/shopDatabase'
import { enqueue } from '../queue/outbox'
import { requireShopSession } from '../session/shopSession'
import { isVoiceNote } from './attachments'
import {
  dropPicture,
  type Picture,
  type PreparedPicture,
  readPicture,
  storeFetched,
  storeTaken,
} from './pictureStore'
import { PictureError, preparePicture } from './shrink'

type PictureSubject = Pick<Attachment, 'about_kind' | 'about_id' | 'taken_at' | 'caption'> & RecordedAs

export type AddPictureResult =
  | { done: true; id: string }
  | { done: false; because: 'no_picture' | 'too_large' | 'no_room' | 'not_saved' }

/** Adds a picture to a row. It is sent when there is a signal. */
export async function addPicture(
  about_kind: About,
  about_id: string,
  file: File,
  caption = '',
): Promise<AddPictureResult> {
  try {
    const taken_at = moment(Math.min(file.lastModified, Date.now()))
    return await addPreparedPicture({ about_kind, about_id, taken_at, caption }, await preparePicture(file))
  } catch (error) {
    return { done: false, because: error instanceof PictureError ? error.because : 'not_saved' }
  }
}

/** Adds a picture to an unsaved form: it gets its command and is uploaded once the form is saved. */
export async function addFormPicture(form: string, file: File): Promise<AddPictureResult> {
  try {
    const taken_at = moment(Math.min(file.lastModified, Date.now()))
    return await addPreparedFormPicture({ form, taken_at, caption: '' }, await preparePicture(file))
  } catch (error) {
    return { done: false, because: error instanceof PictureError ? error.because : 'not_saved' }
  }
}

/** A sound as it was recorded, and how long it is. */
interface RecordedSound extends Picture {
  seconds: number
}

/** Adds a voice note to a row. It is sent as pictures are. */
export const addVoiceNote = (about_kind: About, about_id: string, sound: RecordedSound, caption: string) =>
  addPreparedPicture({ about_kind, about_id, ...noteOf(sound), caption }, preparedSound(sound))

/** Adds a voice note to an unsaved form. */
export const addFormVoiceNote = (form: string, sound: RecordedSound, caption: string) =>
  addPreparedFormPicture({ form, ...noteOf(sound), caption }, preparedSound(sound))

const noteOf = ({ seconds }: RecordedSound) =>
  ({ taken_at: moment(Date.now() - seconds * 1000), media: 'voice', seconds }) as const

const preparedSound = ({ type, content }: RecordedSound): PreparedPicture => ({
  picture: { type, content },
  small: null,
})

/** As `keepForForm`, with a picture that is ready to be sent. */
export async function addPreparedFormPicture(
  unsaid: FormPicture,
  shrunk: PreparedPicture,
): Promise<AddPictureResult> {
  const shop = requireShopSession()
  const id = newId()
  try {
    await storeTaken(shop.db, id, shrunk, await sha256Hex(shrunk.picture.content), unsaid)
  } catch (error) {
    return { done: false, because: isQuotaError(error) ? 'no_room' : 'not_saved' }
  }
  await shop.announcePictures()
  return { done: true, id }
}

/** As `addPicture`, with a picture that is ready to be sent. */
export async function addPreparedPicture(
  words: PictureSubject,
  shrunk: PreparedPicture,
): Promise<AddPictureResult> {
  const { content } = shrunk.picture
  const shop = requireShopSession()
  const id = newId()
  const sha256 = await sha256Hex(content)
  try {
    // The picture first: a command for a picture that could not be stored would announce what never comes.
    await storeTaken(shop.db, id, shrunk, sha256)
  } catch (error) {
    return { done: false, because: isQuotaError(error) ? 'no_room' : 'not_saved' }
  }
  try {
    await enqueue('add_attachment', { id, ...words, sha256, bytes: content.byteLength })
  } catch (error) {
    await dropPicture(shop.db, id)
    return { done: false, because: isQuotaError(error) ? 'no_room' : 'not_saved' }
  }
  await shop.announcePictures()
  return { done: true, id }
}

/** Removes a picture, here and on the server. */
export async function removePicture(id: string): Promise<void> {
  const shop = requireShopSession()
  await enqueue('remove_attachment', { id })
  await dropPicture(shop.db, id)
  await shop.announcePictures()
}

/** A picture to show, or a voice note to play: stored here or fetched from the server; null while neither is possible. */
export async function loadPicture(
  { id, state, media }: Pick<Attachment, 'id' | 'state'> & RecordedAs,
  size: PictureSize,
): Promise<Picture | null> {
  const { db } = requireShopSession()
  const here =
    (await readPicture(db, id, size)) ?? (size === 'thumbnail' ? await readPicture(db, id, 'picture') : null)
  if (here) return here
  if (state !== 'ready') return null
  try {
    const picture = isVoiceNote({ media })
      ? await getVoiceNote(id)
      : { type: 'image/jpeg', content: await getPicture(id, size) }
    await storeFetched(db, id, size, picture)
    return picture
  } catch (error) {
    if (error instanceof NoSignal || error instanceof Problem) return null
    throw error
  }
}
