import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { keepCsrf } from '../../api/client'
import { addBytes } from '../../api/pictures'
import { NoSignal, Problem } from '../../api/problem'
import type { Attachment } from '../../domain/contract'
import { newId } from '../browser/clock'
import { sha256Hex } from '../browser/sha256'
import { writeMeta } from '../database/meta'
import { ShopDatabase } from '../database/shopDatabase'
import { appendCommands } from '../queue/outbox'
import { readPicture, readUploads, storeTaken } from './pictureStore'
import { PART_BYTES, sendPictures, type UploadPort } from './upload'

const BYTES = 2 * PART_BYTES + 1000

/** A fake upload server with the checks of the real one; `faults` come first, one per call. */
class Uploads implements UploadPort {
  readonly known = new Map<string, { sha256: string; bytes: number }>()
  readonly came = new Map<string, Uint8Array<ArrayBuffer>>()
  readonly calls: string[] = []
  readonly faults: (Error | 'lose' | 'spoil' | null)[] = []

  async begin(id: string, bytes: number): Promise<number> {
    this.reach('begin')
    if (this.words(id).bytes !== bytes)
      throw new Problem(422, { code: 'length_differs', detail: 'Not so long.' }, null)
    if (!this.came.has(id)) this.came.set(id, new Uint8Array())
    return this.came.get(id)?.length ?? 0
  }

  async offset(id: string): Promise<number> {
    this.reach('offset')
    this.words(id)
    return this.came.get(id)?.length ?? 0
  }

  async add(id: string, offset: number, part: Uint8Array<ArrayBuffer>): Promise<number> {
    const fault = this.reach(`add ${offset}`)
    const words = this.words(id)
    const before = this.came.get(id)
    // As the real server: a dropped upload accepts no bytes and starts at 0.
    if (!before) return 0
    if (offset !== before.length)
      throw new Problem(409, { code: 'wrong_offset', offset: before.length }, null)
    const bytes = part.slice()
    if (fault === 'spoil') bytes[0] = (bytes[0] ?? 0) ^ 1
    const after = new Uint8Array([...before, ...bytes])
    this.came.set(id, after)
    if (fault === 'lose') throw new NoSignal('the answer was lost')
    if (after.length === words.bytes && (await sha256Hex(after.buffer)) !== words.sha256) {
      this.came.delete(id)
      throw new Problem(460, { code: 'upload_differs' }, null)
    }
    return after.length
  }

  private words(id: string) {
    const words = this.known.get(id)
    if (!words) throw new Problem(404, { code: 'not_found' }, null)
    return words
  }

  private reach(call: string) {
    this.calls.push(call)
    const fault = this.faults.shift() ?? null
    if (fault instanceof Error) throw fault
    return fault
  }
}

let db: ShopDatabase
let server: Uploads

beforeEach(async () => {
  db = new ShopDatabase(newId())
  server = new Uploads()
  await db.run('readwrite', ['meta'], (tx) => writeMeta(tx, 'generation', 1))
})

afterEach(async () => {
  vi.useRealTimers()
  await db.destroy()
})

/** A picture taken on this phone; `words`: whether the server has its row. */
async function taken({ bytes = BYTES, words = true, sha256 = '' } = {}) {
  const content = Uint8Array.from({ length: bytes }, (_, at) => (at * 7) % 251)
  const id = newId()
  const digest = sha256 || (await sha256Hex(content.buffer))
  await storeTaken(db, id, { picture: { type: 'image/jpeg', content: content.buffer }, small: null }, digest)
  if (words) {
    server.known.set(id, { sha256: digest, bytes })
    await serverHas(id, { bytes, sha256: digest })
  }
  return { id, content, sha256: digest, bytes }
}

/** The row of an attachment, as last pulled. */
async function serverHas(id: string, change: Partial<Attachment> = {}) {
  const row: Attachment = {
    id,
    created_at: '2026-04-01T08:00:00.000Z',
    changed_at: '2026-04-01T08:00:00.000Z',
    about_kind: 'job',
    about_id: newId(),
    caption: '',
    taken_at: '2026-04-01T08:00:00.000Z',
    sha256: '',
    bytes: 0,
    media: 'picture',
    seconds: null,
    drawn_from_id: null,
    state: 'waiting',
    reason: '',
    because: null,
    width: null,
    height: null,
    added_by_id: null,
    ...change,
  }
  await db.run('readwrite', ['base'], (tx) =>
    tx.objectStore('base').put({ kind: 'attachment', id, generation: 1, row }),
  )
}

const send = (mayGoOn: () => boolean = () => true, pace = { part_bytes: PART_BYTES }) =>
  sendPictures(db, server, { pace, mayGoOn, tell: () => undefined })

const sent = async () => (await readUploads(db)).map((each) => each.sent)

test('a picture is uploaded in parts, and stored until the server has processed it', async () => {
  const { id, content } = await taken()
  expect(await send()).toBe(1)
  expect(server.calls).toEqual(['begin', 'add 0', `add ${PART_BYTES}`, `add ${2 * PART_BYTES}`])
  expect(server.came.get(id)).toEqual(content)
  expect(await sent()).toEqual([BYTES])
  await serverHas(id, { state: 'received' })
  await send()
  expect(await sent()).toEqual([BYTES])
  await serverHas(id, { state: 'ready' })
  await send()
  expect(await readUploads(db)).toEqual([])
  expect(await readPicture(db, id, 'picture')).not.toBeNull()
})

test('after a lost connection it asks for the offset and resumes', async () => {
  const { id, content } = await taken()
  server.faults.push(null, null, new NoSignal('cut'))
  await expect(send()).rejects.toThrow(NoSignal)
  expect(await sent()).toEqual([PART_BYTES])
  server.calls.length = 0
  await send()
  expect(server.calls).toEqual(['offset', `add ${PART_BYTES}`, `add ${2 * PART_BYTES}`])
  expect(server.came.get(id)).toEqual(content)
})

test('a part whose answer was lost is not sent twice', async () => {
  const { id, content } = await taken()
  server.faults.push(null, null, 'lose')
  await expect(send()).rejects.toThrow(NoSignal)
  await send()
  expect(server.calls.slice(-2)).toEqual(['offset', `add ${2 * PART_BYTES}`])
  expect(server.came.get(id)).toEqual(content)
})

test('a wrong offset is corrected by the server', async () => {
  const { id, content } = await taken()
  server.faults.push(null, new Problem(409, { code: 'wrong_offset', offset: 1000 }, null))
  server.came.set(id, content.slice(0, 1000))
  await send()
  expect(server.came.get(id)).toEqual(content)
})

test('only a damaged part is sent again', async () => {
  const { id, content } = await taken()
  server.faults.push(null, null, new Problem(460, { code: 'checksum_mismatch' }, null))
  await send()
  expect(server.calls).toEqual([
    'begin',
    'add 0',
    `add ${PART_BYTES}`,
    `add ${PART_BYTES}`,
    `add ${2 * PART_BYTES}`,
  ])
  expect(server.came.get(id)).toEqual(content)
})

test('an upload that differs from its digest starts over', async () => {
  const { id, content } = await taken()
  server.faults.push(null, 'spoil')
  expect(await send()).toBe(1)
  expect(server.calls.filter((call) => call === 'add 0')).toHaveLength(2)
  expect(server.came.get(id)).toEqual(content)
})

test('a copy damaged on this phone is not uploaded, and the reason is shown', async () => {
  await taken({ sha256: 'f'.repeat(64) })
  expect(await send()).toBe(0)
  expect((await readUploads(db))[0]?.trouble?.code).toBe('damaged')
  server.calls.length = 0
  await send()
  expect(server.calls).toEqual([])
})

test('a connection that damages every part is not retried for ever', async () => {
  await taken()
  server.faults.push(
    null,
    ...Array.from({ length: 9 }, () => new Problem(460, { code: 'checksum_mismatch' }, null)),
  )
  await expect(send()).rejects.toThrow(Problem)
  expect(server.calls).toHaveLength(6)
})

test('an upload that the server dropped or lost is begun again', async () => {
  const { id, content } = await taken()
  server.faults.push(null, null, new NoSignal('the server went down'))
  await expect(send()).rejects.toThrow(NoSignal)
  server.came.clear()
  server.calls.length = 0
  await send()
  expect(server.calls.slice(0, 3)).toEqual(['offset', 'begin', 'add 0'])
  expect(server.came.get(id)).toEqual(content)
})

test('it waits until the server has its row, also where it answers 404', async () => {
  const { id } = await taken({ words: false })
  expect(await send()).toBe(0)
  expect(server.calls).toEqual([])
  await serverHas(id)
  expect(await send()).toBe(0)
  expect(server.calls).toEqual(['begin'])
  expect((await readUploads(db))[0]?.trouble).toBeNull()
})

test('a refused picture has its reason, and the next one is uploaded', async () => {
  const first = await taken()
  await new Promise((done) => setTimeout(done, 2))
  const second = await taken({ bytes: 10 })
  server.known.set(first.id, { sha256: first.sha256, bytes: 1 })
  expect(await send()).toBe(1)
  expect(server.came.get(second.id)).toEqual(second.content)
  expect((await readUploads(db))[0]?.trouble).toEqual({ code: 'length_differs', words: 'Not so long.' })
})

test('a picture for which the server is busy is retried after the others', async () => {
  await taken({ bytes: 10 })
  await new Promise((done) => setTimeout(done, 2))
  await taken({ bytes: 11 })
  server.faults.push(new Problem(503, { code: 'busy' }, 7))
  await expect(send()).rejects.toMatchObject({ status: 503, retry_after_s: 7 })
  expect(await sent()).toEqual([0, 11])
})

test('an exhausted daily quota is shown, stops all uploads, and they resume by themselves', async () => {
  const first = await taken({ bytes: 10 })
  await new Promise((done) => setTimeout(done, 2))
  await taken({ bytes: 11 })
  server.faults.push(new Problem(429, { code: 'upload_day_full', detail: 'Tomorrow.' }, 300))
  expect(await send()).toBe(0)
  expect(server.calls).toEqual(['begin'])
  const put_off = (await readUploads(db)).map(({ id, trouble }) => [id, trouble])
  expect(put_off[0]).toEqual([first.id, { code: 'upload_day_full', words: 'Tomorrow.' }])
  expect(await send()).toBe(2)
  expect((await readUploads(db)).map(({ trouble }) => trouble)).toEqual([null, null])
})

test('parts shrink on a slow connection and grow again after successes', async () => {
  const { id, content } = await taken()
  const pace = { part_bytes: PART_BYTES }
  server.faults.push(null, new NoSignal('timed out'))
  await expect(send(undefined, pace)).rejects.toThrow(NoSignal)
  await send(undefined, pace)
  expect(server.calls.slice(2)).toEqual([
    'begin',
    'add 0',
    `add ${PART_BYTES / 2}`,
    `add ${PART_BYTES * 1.5}`,
  ])
  expect(server.came.get(id)).toEqual(content)
})

test('commands have priority: it stops after the current part', async () => {
  await taken()
  let parts = 0
  expect(await send(() => parts++ < 2)).toBe(0)
  expect(server.calls).toEqual(['begin', 'add 0'])
  expect(await sent()).toEqual([PART_BYTES])
})

test('removed pictures are deleted; one whose command or form is pending stays', async () => {
  const removed = await taken()
  const waits = await taken({ words: false })
  await appendCommands(db, [
    {
      name: 'add_attachment',
      args: {
        id: waits.id,
        about_kind: 'job',
        about_id: newId(),
        taken_at: '2026-04-01T08:00:00.000Z',
        sha256: waits.sha256,
        bytes: waits.bytes,
      },
      made_words: '',
    },
  ])
  const justTaken = await taken({ words: false })
  const onForm = await taken({ words: false })
  await db.run('readwrite', ['sending'], async (tx) => {
    const sending = await tx.objectStore('sending').get(onForm.id)
    const unsaid = { form: 'finding:1', taken_at: '2026-04-01T08:00:00.000Z', caption: '' }
    if (sending) await tx.objectStore('sending').put({ ...sending, unsaid })
  })
  await db.run('readwrite', ['base'], (tx) => tx.objectStore('base').delete(['attachment', removed.id]))
  const later = Date.now() + 3_600_000
  await send()
  // It may have been taken just now, with its command about to be saved.
  expect(await readPicture(db, justTaken.id, 'picture')).not.toBeNull()
  vi.useFakeTimers({ toFake: ['Date'], now: later })
  await send()
  expect((await readUploads(db)).map(({ id }) => id).sort()).toEqual([waits.id, onForm.id].sort())
  expect(await readPicture(db, removed.id, 'picture')).toBeNull()
  expect(await readPicture(db, justTaken.id, 'picture')).toBeNull()
})

test('a server restored without a picture gets it again', async () => {
  const { id, content, bytes, sha256 } = await taken()
  await send()
  await serverHas(id, { state: 'ready', bytes, sha256 })
  await send()
  expect(await readUploads(db)).toEqual([])
  server.came.clear()
  await serverHas(id, { bytes, sha256 })
  expect(await send()).toBe(1)
  expect(server.came.get(id)).toEqual(content)
})

test('a picture that this browser cannot read is fetched once the server has processed it', async () => {
  const { id } = await taken()
  await db.run('readwrite', ['pictures'], async (tx) => {
    const record = await tx.objectStore('pictures').get([id, 'picture'])
    if (record) await tx.objectStore('pictures').put({ ...record, type: 'image/heic' })
  })
  await serverHas(id, { state: 'ready' })
  await send()
  expect(await readPicture(db, id, 'picture')).toBeNull()
})

test('a voice note stays as it was recorded here once the server has checked it', async () => {
  const { id, content } = await taken()
  await db.run('readwrite', ['pictures'], async (tx) => {
    const record = await tx.objectStore('pictures').get([id, 'picture'])
    if (record) await tx.objectStore('pictures').put({ ...record, type: 'audio/webm' })
  })
  await serverHas(id, { state: 'ready', media: 'voice', seconds: 3 })
  await send()
  expect(await readUploads(db)).toEqual([])
  expect((await readPicture(db, id, 'picture'))?.content.byteLength).toBe(content.byteLength)
})

test('a picture refused by the server and unreadable here exists nowhere else, so it stays', async () => {
  const { id } = await taken()
  await db.run('readwrite', ['pictures'], async (tx) => {
    const record = await tx.objectStore('pictures').get([id, 'picture'])
    if (record) await tx.objectStore('pictures').put({ ...record, type: 'image/heic' })
  })
  await serverHas(id, { state: 'refused' })
  await send()
  expect(await readUploads(db)).toEqual([])
  expect(await readPicture(db, id, 'picture')).not.toBeNull()
})

test('a part carries the headers of tus 1.0.0, with the checksum in base64', async () => {
  const asked: Request[] = []
  keepCsrf('token')
  vi.stubGlobal('fetch', (path: string, init: RequestInit) => {
    asked.push(new Request(`https://shop.example${path}`, init))
    return Promise.resolve(new Response(null, { status: 204, headers: { 'Upload-Offset': '8' } }))
  })
  expect(await addBytes('a', 3, new TextEncoder().encode('hello'))).toBe(8)
  vi.unstubAllGlobals()
  const headers = Object.fromEntries(asked[0]?.headers ?? [])
  expect(headers).toMatchObject({
    'tus-resumable': '1.0.0',
    'content-type': 'application/offset+octet-stream',
    'upload-offset': '3',
    // Of "hello", by `printf hello | openssl dgst -sha256 -binary | base64`.
    'upload-checksum': 'sha256 LPJNul+wow4m6DsqxbninhsWHlwfp0JecwQzYpOLmCQ=',
  })
})
