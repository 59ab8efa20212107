import { addBytes, beginUpload, uploadOffset } from '../../api/pictures'
import { NoSignal, Problem } from '../../api/problem'
import type { Attachment } from '../../domain/contract'
import { sha256Hex } from '../browser/sha256'
import { readMeta } from '../database/meta'
import type { BaseRecord, PendingUpload, ShopDatabase, Within } from '../database/shopDatabase'
import { dropPictureWithin, readPicture, readUploads, updateUpload } from './pictureStore'

/** Bytes of one part: commands never wait long for it, and little is sent twice after a lost connection. */
export const PART_BYTES = 256 * 1024
/** The smallest part. */
const MIN_PART_BYTES = 16 * 1024
/** An upload that needs more corrections than this in one round is left for later. */
const MAX_REPAIRS = 4
/** What every browser shows, or is kept as it was recorded here. */
const READABLE = /^(image\/jpeg|audio\/.*)$/u
/** A picture is stored before its command; it may be here without one for this long. */
const WORDS_FOLLOW_MS = 10 * 60_000

/** The server's side of uploads; each call throws NoSignal or Problem. */
export interface UploadPort {
  begin(id: string, bytes: number): Promise<number>
  offset(id: string): Promise<number>
  add(id: string, offset: number, part: Uint8Array<ArrayBuffer>): Promise<number>
}

export const httpUploads: UploadPort = { begin: beginUpload, offset: uploadOffset, add: addBytes }

/** Bytes per part: halved after each failed part, doubled after a successful one. */
export interface Pace {
  part_bytes: number
}

interface UploadOptions {
  pace: Pace
  /** Commands have priority: while there are any to send, a picture waits with its next part. */
  mayGoOn: () => boolean
  /** Called when the state of an upload has changed. */
  tell: () => void
}

/**
 * Uploads the pictures whose attachment rows the server has, oldest first, each from its last offset. Returns how many
 * were completed.
 *
 * @throws NoSignal, or after all others the Problem of one that is to be retried later
 */
export async function sendPictures(
  db: ShopDatabase,
  remote: UploadPort,
  options: UploadOptions,
): Promise<number> {
  if (await reconcileUploads(db)) options.tell()
  let whole = 0
  let later: Problem | null = null
  for (const sending of await readUploads(db)) {
    if (!options.mayGoOn()) break
    if (sending.trouble?.code === 'damaged' || !(await isAwaited(db, sending.id))) continue
    try {
      if (await new Upload(db, remote, options, sending).run()) whole += 1
    } catch (error) {
      if (!(error instanceof Problem)) throw error
      if (isFinal(error)) {
        await updateUpload(db, sending.id, { trouble: { code: error.code, words: error.message } })
        options.tell()
      } else if (error.status === 429) {
        // The shop's quota is used up: the others would be refused too, and commands must not wait.
        await updateUpload(db, sending.id, { trouble: { code: error.code, words: error.message } })
        options.tell()
        break
      } else if (error.status !== 404) later = error
    }
  }
  if (later) throw later
  return whole
}

/** Whether the refusal is final: the server does not accept this picture. */
function isFinal({ status }: Problem): boolean {
  return status === 400 || status === 403 || status === 413 || status === 422
}

class Upload {
  private readonly db: ShopDatabase
  private readonly remote: UploadPort
  private readonly options: UploadOptions
  private readonly sending: PendingUpload
  private repairs = 0

  constructor(db: ShopDatabase, remote: UploadPort, options: UploadOptions, sending: PendingUpload) {
    this.db = db
    this.remote = remote
    this.options = options
    this.sending = sending
  }

  /** Returns whether the upload is complete. */
  async run(): Promise<boolean> {
    const { id, bytes } = this.sending
    const picture = await readPicture(this.db, id, 'picture')
    if (picture?.content.byteLength !== bytes) return this.giveUp()
    const content = new Uint8Array(picture.content)
    let at = await this.standsAt()
    await this.note(at)
    while (at < bytes) {
      if (!this.options.mayGoOn()) return false
      const next = await this.add(content, at)
      if (next === null) return this.giveUp()
      at = next
      await this.note(at)
    }
    return true
  }

  private async standsAt(): Promise<number> {
    const { id, bytes, sent } = this.sending
    if (sent > 0) {
      try {
        const at = await this.remote.offset(id)
        if (at > 0) return at
      } catch (error) {
        // The server has dropped the upload: begin again.
        if (!(error instanceof Problem) || error.status !== 404) throw error
      }
    }
    return this.remote.begin(id, bytes)
  }

  /** Sends the part at an offset. Returns the next offset; null when the copy on this phone is damaged. */
  private async add(content: Uint8Array<ArrayBuffer>, at: number): Promise<number | null> {
    const { id, bytes, sha256 } = this.sending
    const { pace } = this.options
    try {
      const next = await this.remote.add(id, at, content.slice(at, at + pace.part_bytes))
      pace.part_bytes = Math.min(PART_BYTES, pace.part_bytes * 2)
      if (next > at) return next
    } catch (error) {
      if (error instanceof NoSignal) pace.part_bytes = Math.max(MIN_PART_BYTES, pace.part_bytes / 2)
      if (!(error instanceof Problem) || ++this.repairs > MAX_REPAIRS) throw error
      if (error.code === 'checksum_mismatch') return at
      if (error.code === 'wrong_offset') return error.offset ?? (await this.remote.offset(id))
      if (error.code !== 'upload_differs') throw error
      if ((await sha256Hex(content.buffer)) !== sha256) return null
      return this.remote.begin(id, bytes)
    }
    // Nothing was added: the server has dropped the upload after a long pause.
    if (++this.repairs > MAX_REPAIRS) throw new Problem(503, { code: 'no_progress' }, null)
    return this.remote.begin(id, bytes)
  }

  private async note(sent: number): Promise<void> {
    await updateUpload(this.db, this.sending.id, { sent, trouble: null })
    this.options.tell()
  }

  private async giveUp(): Promise<false> {
    await updateUpload(this.db, this.sending.id, { trouble: { code: 'damaged', words: '' } })
    this.options.tell()
    return false
  }
}

/** Whether the server has the attachment's row and waits for its bytes. */
async function isAwaited(db: ShopDatabase, id: string): Promise<boolean> {
  return (await db.run('readonly', ['base'], (tx) => attachmentWithin(tx, id)))?.state === 'waiting'
}

async function attachmentWithin(
  tx: { objectStore(name: 'base'): { get(key: ['attachment', string]): Promise<BaseRecord | undefined> } },
  id: string,
): Promise<Attachment | undefined> {
  return (await tx.objectStore('base').get(['attachment', id]))?.row as Attachment | undefined
}

/**
 * After a sync: pictures that the server has processed or refused need not be sent any more, and removed ones are
 * deleted. Returns whether the pending uploads changed.
 */
function reconcileUploads(db: ShopDatabase): Promise<boolean> {
  return db.run('readwrite', ['base', 'outbox', 'aside', 'meta', 'pictures', 'sending'], async (tx) => {
    const [sending, keys, generation] = await Promise.all([
      tx.objectStore('sending').getAll(),
      tx.objectStore('pictures').getAllKeys(),
      readMeta(tx, 'generation'),
    ])
    // Before the first full snapshot a missing row means nothing.
    if (generation === undefined || (sending.length === 0 && keys.length === 0)) return false
    const mine = new Map(sending.map((each) => [each.id, each]))
    const named = mine.size ? await announced(tx) : new Set<string>()
    let changed = false
    for (const id of new Set([...mine.keys(), ...keys.map(([each]) => each)])) {
      const row = await attachmentWithin(tx, id)
      const own = mine.get(id)
      if (row) {
        const arrived = row.state === 'ready' || row.state === 'refused'
        if (own ? !arrived : row.state !== 'waiting') continue
        const here = await tx.objectStore('pictures').get([id, 'picture'])
        if (own) {
          await tx.objectStore('sending').delete(id)
          // Prefer the server's version of an unreadable picture. (A refused one exists nowhere else.)
          if (row.state === 'ready' && here && !READABLE.test(here.type)) await dropPictureWithin(tx, id)
          changed = true
        } else if (here?.bytes === row.bytes) {
          // The server was restored without the bytes, and they are still here as they were sent.
          await tx.objectStore('sending').put(newUploadOf(row))
          changed = true
        }
      } else if (!own || !(own.unsaid || named.has(id) || isJustTaken(own))) {
        await dropPictureWithin(tx, id)
        changed ||= own !== undefined
      }
    }
    return changed
  })
}

const isJustTaken = ({ added_at }: PendingUpload) => Math.abs(Date.now() - added_at) < WORDS_FOLLOW_MS

function newUploadOf({ id, bytes, sha256 }: Attachment): PendingUpload {
  return { id, bytes, sha256, sent: 0, added_at: Date.now(), trouble: null }
}

/** The pictures whose command is pending here, or was refused and may be restored. */
async function announced(tx: Within<'outbox' | 'aside'>): Promise<Set<string>> {
  const entries = await Promise.all([tx.objectStore('outbox').getAll(), tx.objectStore('aside').getAll()])
  return new Set(entries.flat().flatMap(({ name, args }) => (name === 'add_attachment' ? [args.id] : [])))
}
