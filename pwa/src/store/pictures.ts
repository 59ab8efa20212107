/** Pictures taken, shown and taken out. Loaded only where there is one to be seen or taken. */
import { getPicture } from '../api/pictures'
import { NoSignal, Problem } from '../api/problem'
import type { About, Attachment } from '../domain/rows'
import { moment } from '../domain/time'
import { dropPicture, keepFetched, keepNew, type Picture, readPicture, type Shrunk } from './album'
import { newId } from './clock'
import { isFull, type Size, type Unsaid } from './db'
import { digestOf } from './digest'
import { current } from './opened'
import { enqueue } from './outbox'
import { NoPicture, shrink } from './shrinking'

type Words = Pick<Attachment, 'about_kind' | 'about_id' | 'taken_at' | 'caption'>

export type Added =
  | { done: true; id: string }
  | { done: false; because: 'no_picture' | 'too_large' | 'no_room' | 'not_saved' }

/** Keeps a picture that was just taken, or one that was chosen, of a thing. It is sent when there is a signal. */
export async function addPicture(
  about_kind: About,
  about_id: string,
  file: File,
  caption = '',
): Promise<Added> {
  try {
    const taken_at = moment(Math.min(file.lastModified, Date.now()))
    return await addTaken({ about_kind, about_id, taken_at, caption }, await shrink(file))
  } catch (error) {
    return { done: false, because: error instanceof NoPicture ? error.because : 'not_saved' }
  }
}

/** Keeps a picture for a form that is not saved yet: it gets its words, and is sent, when the form is. */
export async function keepForForm(form: string, file: File): Promise<Added> {
  try {
    const taken_at = moment(Math.min(file.lastModified, Date.now()))
    return await keepUnsaid({ form, taken_at, caption: '' }, await shrink(file))
  } catch (error) {
    return { done: false, because: error instanceof NoPicture ? error.because : 'not_saved' }
  }
}

/** As `keepForForm`, with a picture that is ready to be sent. */
export async function keepUnsaid(unsaid: Unsaid, shrunk: Shrunk): Promise<Added> {
  const shop = current()
  const id = newId()
  try {
    await keepNew(shop.db, id, shrunk, await digestOf(shrunk.picture.content), unsaid)
  } catch (error) {
    return { done: false, because: isFull(error) ? 'no_room' : 'not_saved' }
  }
  await shop.tellPictures()
  return { done: true, id }
}

/** As `addPicture`, with a picture that is ready to be sent. */
export async function addTaken(words: Words, shrunk: Shrunk): Promise<Added> {
  const { content } = shrunk.picture
  const shop = current()
  const id = newId()
  const sha256 = await digestOf(content)
  try {
    // The picture first: words of one that is not there would promise what cannot be kept.
    await keepNew(shop.db, id, shrunk, sha256)
  } catch (error) {
    return { done: false, because: isFull(error) ? 'no_room' : 'not_saved' }
  }
  try {
    await enqueue('add_attachment', { id, ...words, sha256, bytes: content.byteLength })
  } catch (error) {
    await dropPicture(shop.db, id)
    return { done: false, because: isFull(error) ? 'no_room' : 'not_saved' }
  }
  await shop.tellPictures()
  return { done: true, id }
}

/** Takes a picture out, here and everywhere. */
export async function removePicture(id: string): Promise<void> {
  const shop = current()
  await enqueue('remove_attachment', { id })
  await dropPicture(shop.db, id)
  await shop.tellPictures()
}

/** A picture to look at: as it lies here, or fetched from the server; null while it can be had from neither. */
export async function pictureOf(
  { id, state }: Pick<Attachment, 'id' | 'state'>,
  size: Size,
): Promise<Picture | null> {
  const { db } = current()
  const here =
    (await readPicture(db, id, size)) ?? (size === 'thumbnail' ? await readPicture(db, id, 'picture') : null)
  if (here) return here
  if (state !== 'ready') return null
  try {
    const picture = { type: 'image/jpeg', content: await getPicture(id, size) }
    await keepFetched(db, id, size, picture)
    return picture
  } catch (error) {
    if (error instanceof NoSignal || error instanceof Problem) return null
    throw error
  }
}
