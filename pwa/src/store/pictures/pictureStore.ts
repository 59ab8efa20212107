import {
  type FormPicture,
  isQuotaError,
  type PendingUpload,
  type PictureRecord,
  type PictureSize,
  type ShopDatabase,
  type Within,
} from '../database/shopDatabase'

/** The most bytes of pictures that the server has as well, cached for use without a signal. */
const MAX_CACHE_BYTES = 80_000_000
/** The least time between two updates of a picture's last view: each rewrites the picture. */
const SEEN_AGAIN_MS = 24 * 3_600_000

/** A picture to show or send. */
export type Picture = Pick<PictureRecord, 'type' | 'content'>

/** A picture ready to be sent, and a small JPEG of it to show; null where this browser cannot make one. */
export interface PreparedPicture {
  picture: Picture
  small: ArrayBuffer | null
}

/**
 * Stores a picture taken here, to be sent. If storage is full, pictures that the server has as well are dropped first.
 *
 * @throws QuotaExceededError when storage is still full
 */
export async function storeTaken(
  db: ShopDatabase,
  id: string,
  { picture: { type, content }, small }: PreparedPicture,
  sha256: string,
  unsaid?: FormPicture,
): Promise<void> {
  const bytes = content.byteLength
  const write = () =>
    db.run(
      'readwrite',
      ['pictures', 'sending'],
      async (tx) => {
        const now = Date.now()
        const pictures = tx.objectStore('pictures')
        const large = { id, size: 'picture', type, content, bytes, used_at: now } as const
        await Promise.all([
          pictures.put(large),
          small && pictures.put({ ...large, size: 'thumbnail', content: small, bytes: small.byteLength }),
          tx.objectStore('sending').put({
            id,
            bytes,
            sha256,
            sent: 0,
            added_at: now,
            trouble: null,
            ...(unsaid && { unsaid }),
          }),
        ])
      },
      'strict',
    )
  try {
    await write()
  } catch (error) {
    if (!isQuotaError(error) || (await makeRoom(db, 0)) === 0) throw error
    await write()
  }
}

/** Caches a picture from the server, as far as there is room. */
export async function storeFetched(
  db: ShopDatabase,
  id: string,
  size: PictureSize,
  { type, content }: Picture,
): Promise<void> {
  const bytes = content.byteLength
  const record = { id, size, type, content, bytes, used_at: Date.now() }
  try {
    await db.run('readwrite', ['pictures'], (tx) => tx.objectStore('pictures').put(record), 'relaxed')
    await makeRoom(db, MAX_CACHE_BYTES)
  } catch (error) {
    if (!isQuotaError(error)) throw error
  }
}

export async function readPicture(db: ShopDatabase, id: string, size: PictureSize): Promise<Picture | null> {
  const found = await db.run('readonly', ['pictures'], (tx) => tx.objectStore('pictures').get([id, size]))
  if (!found) return null
  if (Date.now() - found.used_at > SEEN_AGAIN_MS) await storeFetched(db, id, size, found)
  return found
}

/** The pictures taken here that the server has not processed yet, oldest first. */
export async function readUploads(db: ShopDatabase): Promise<PendingUpload[]> {
  const found = await db.run('readonly', ['sending'], (tx) => tx.objectStore('sending').getAll())
  return found.sort((a, b) => a.added_at - b.added_at)
}

/** Stores the upload state of a picture, unless it was removed meanwhile. */
export async function updateUpload(
  db: ShopDatabase,
  id: string,
  change: Partial<Pick<PendingUpload, 'sent' | 'trouble'>>,
): Promise<void> {
  await db.run('readwrite', ['sending'], async (tx) => {
    const sending = await tx.objectStore('sending').get(id)
    if (sending) await tx.objectStore('sending').put({ ...sending, ...change })
  })
}

/** Releases the pictures of a form for upload, once it is saved with their commands. */
export function releaseFormPictures(db: ShopDatabase, ids: readonly string[]): Promise<void> {
  return db.run('readwrite', ['sending'], async (tx) => {
    for (const id of ids) {
      const sending = await tx.objectStore('sending').get(id)
      if (!sending) continue
      const { unsaid, ...said } = sending
      await tx.objectStore('sending').put(said)
    }
  })
}

/** Deletes a picture from the phone. */
export async function dropPicture(db: ShopDatabase, id: string): Promise<void> {
  await db.run('readwrite', ['pictures', 'sending'], (tx) => dropPictureWithin(tx, id))
}

type Drops = Within<'pictures' | 'sending'>

export async function dropPictureWithin(tx: Drops, id: string): Promise<void> {
  const pictures = tx.objectStore('pictures')
  await Promise.all([
    tx.objectStore('sending').delete(id),
    pictures.delete([id, 'picture']),
    pictures.delete([id, 'thumbnail']),
  ])
}

/** Drops pictures that the server has, the longest unseen first, down to so many bytes. Returns how many. */
export function makeRoom(db: ShopDatabase, most_bytes: number): Promise<number> {
  return db.run('readwrite', ['pictures', 'sending'], async (tx) => {
    const unsent = new Set(await tx.objectStore('sending').getAllKeys())
    const pictures = tx.objectStore('pictures')
    let [total, dropped] = [0, 0]
    let cursor = await pictures.index('age').openKeyCursor(null, 'prev')
    while (cursor) {
      const [id] = cursor.primaryKey
      if (!unsent.has(id)) total += cursor.key[1]
      if (!unsent.has(id) && total > most_bytes) {
        await pictures.delete(cursor.primaryKey)
        dropped += 1
      }
      cursor = await cursor.continue()
    }
    return dropped
  })
}

/** Deletes every picture that the server has, and those of unsaved forms. */
export async function clearUploaded(tx: Drops): Promise<void> {
  const sending = tx.objectStore('sending')
  const records = await sending.getAll()
  const unsent = new Set(
    records.filter(({ sent, bytes, unsaid }) => sent < bytes && !unsaid).map(({ id }) => id),
  )
  for (const { id } of records) if (!unsent.has(id)) await sending.delete(id)
  const pictures = tx.objectStore('pictures')
  for (const key of await pictures.getAllKeys()) if (!unsent.has(key[0])) await pictures.delete(key)
}
