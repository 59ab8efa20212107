import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { newId } from '../browser/clock'
import type { ShopDatabase } from '../database/shopDatabase'
import { recordFinding } from '../findings'
import { syncSummary } from '../queue/queue'
import { closeShop, openShop, type ShopSession } from '../session/shopSession'
import { LocalDatabase } from '../sync/localDatabase'
import { attachmentsAbout, formPicturesOf, picturesAbout } from './attachments'
import { makeRoom, readPicture, readUploads, storeFetched, storeTaken, updateUpload } from './pictureStore'
import {
  addFormVoiceNote,
  addPreparedFormPicture,
  addPreparedPicture,
  addVoiceNote,
  loadPicture,
  removePicture,
} from './pictures'

let shop: ShopSession
let db: ShopDatabase

beforeEach(async () => {
  shop = await openShop({ shop_id: newId(), member_id: newId() })
  db = shop.db
})

afterEach(async () => {
  vi.restoreAllMocks()
  vi.unstubAllGlobals()
  vi.useRealTimers()
  await closeShop()
})

const picture = (bytes: number) => ({ type: 'image/jpeg', content: new Uint8Array(bytes).buffer })
const shrunk = (bytes: number) => ({ picture: picture(bytes), small: null })
const words = {
  about_kind: 'finding',
  about_id: newId(),
  taken_at: '2026-04-01T08:00:00.000Z',
  caption: '',
} as const

/** A phone whose browser grants so many bytes for pictures. */
function roomFor(bytes: number) {
  const put = IDBObjectStore.prototype.put
  const held = new Map<string, number>()
  vi.spyOn(IDBObjectStore.prototype, 'delete').mockImplementation(function (this: IDBObjectStore, key) {
    if (this.name === 'pictures') held.delete(String(key))
    return Reflect.apply(remove, this, [key])
  })
  vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (
    this: IDBObjectStore,
    value,
    ...rest
  ) {
    if (this.name === 'pictures') {
      held.set(String([value.id, value.size]), value.bytes)
      if ([...held.values()].reduce((sum, each) => sum + each, 0) > bytes) {
        held.delete(String([value.id, value.size]))
        throw new DOMException('no room', 'QuotaExceededError')
      }
    }
    return Reflect.apply(put, this, [value, ...rest])
  })
}
const remove = IDBObjectStore.prototype.delete

test('a picture is stored before its command, and both are shown and counted at once', async () => {
  const added = await addPreparedPicture(words, shrunk(1000))
  if (!added.done) throw new Error(added.because)
  expect(shop.view.get('attachment', added.id)).toMatchObject({
    state: 'waiting',
    bytes: 1000,
    about_id: words.about_id,
  })
  expect(await readUploads(db)).toMatchObject([{ id: added.id, sent: 0, bytes: 1000 }])
  expect(syncSummary.value).toMatchObject({ waiting: 1, pictures: 1, stuck: 0 })
})

test('full storage is reported, the attachment is not saved, other commands still are', async () => {
  roomFor(1500)
  expect(await addPreparedPicture(words, shrunk(1000))).toMatchObject({ done: true })
  expect(await addPreparedPicture(words, shrunk(1000))).toEqual({ done: false, because: 'no_room' })
  expect(shop.view.where('attachment', 'about_id', words.about_id)).toHaveLength(1)
  expect(await readUploads(db)).toHaveLength(1)
  await recordFinding({ job_id: newId(), words: 'Belt frayed', rank: 'needed' })
  expect(syncSummary.value).toMatchObject({ waiting: 2, pictures: 1 })
})

test('pictures that the server has make room for those taken here', async () => {
  roomFor(1500)
  await storeFetched(db, 'fetched', 'picture', picture(1000))
  expect(await addPreparedPicture(words, shrunk(1000))).toMatchObject({ done: true })
  expect(await readPicture(db, 'fetched', 'picture')).toBeNull()
})

test('a fetched picture that does not fit is still shown', async () => {
  roomFor(0)
  vi.stubGlobal('fetch', () =>
    Promise.resolve(new Response(new Uint8Array([1, 2, 3]), { headers: { 'Content-Type': 'image/jpeg' } })),
  )
  const found = await loadPicture({ id: 'a', state: 'ready' }, 'thumbnail')
  expect(found?.content.byteLength).toBe(3)
})

test('of pictures that the server has, the longest unseen are dropped first; unsent ones never', async () => {
  vi.useFakeTimers({ toFake: ['Date'], now: 1_000 })
  await storeTaken(db, 'unsent', shrunk(500), '')
  for (const [at, id] of ['old', 'middle', 'new'].entries()) {
    vi.setSystemTime(2_000 + at)
    await storeFetched(db, id, 'thumbnail', picture(100))
  }
  expect(await makeRoom(db, 250)).toBe(1)
  expect(await readPicture(db, 'old', 'thumbnail')).toBeNull()
  expect(await readPicture(db, 'middle', 'thumbnail')).not.toBeNull()
  expect(await makeRoom(db, 0)).toBe(2)
  expect(await readPicture(db, 'unsent', 'picture')).not.toBeNull()
})

test('lists show the thumbnail made here, or the large picture without one', async () => {
  const small = new Uint8Array([5]).buffer
  const one = await addPreparedPicture(words, { picture: picture(9), small })
  const other = await addPreparedPicture(words, shrunk(9))
  if (!one.done || !other.done) throw new Error('not kept')
  expect((await loadPicture({ id: one.id, state: 'waiting' }, 'thumbnail'))?.content.byteLength).toBe(1)
  expect((await loadPicture({ id: other.id, state: 'waiting' }, 'thumbnail'))?.content.byteLength).toBe(9)
})

test('a picture of another phone is fetched once and then available offline', async () => {
  const fetched = vi.fn(() =>
    Promise.resolve(new Response(new Uint8Array([7]), { headers: { 'Content-Type': 'image/jpeg' } })),
  )
  vi.stubGlobal('fetch', fetched)
  expect(await loadPicture({ id: 'a', state: 'waiting' }, 'thumbnail')).toBeNull()
  expect(fetched).not.toHaveBeenCalled()
  await loadPicture({ id: 'a', state: 'ready' }, 'thumbnail')
  await loadPicture({ id: 'a', state: 'ready' }, 'thumbnail')
  expect(fetched).toHaveBeenCalledTimes(1)
  vi.stubGlobal('fetch', () => Promise.reject(new TypeError('failed to fetch')))
  expect(await loadPicture({ id: 'a', state: 'ready' }, 'thumbnail')).not.toBeNull()
  expect(await loadPicture({ id: 'b', state: 'ready' }, 'thumbnail')).toBeNull()
})

test('a hotspot page is not stored as a picture', async () => {
  vi.stubGlobal('fetch', () =>
    Promise.resolve(new Response('<p>Sign in</p>', { headers: { 'Content-Type': 'text/html' } })),
  )
  expect(await loadPicture({ id: 'a', state: 'ready' }, 'picture')).toBeNull()
  expect(await readPicture(db, 'a', 'picture')).toBeNull()
})

const sound = { type: 'audio/webm', content: new Uint8Array([1, 2, 3]).buffer, seconds: 42 }

test('a voice note is kept and announced as a picture is, with its length', async () => {
  const row = newId()
  const added = await addVoiceNote('finding', row, sound, 'Voice note')
  if (!added.done) throw new Error(added.because)
  expect(shop.view.get('attachment', added.id)).toMatchObject({
    about_id: row,
    media: 'voice',
    seconds: 42,
    caption: 'Voice note',
    bytes: 3,
    state: 'waiting',
  })
  expect(picturesAbout('finding', row)).toEqual([])
  expect(attachmentsAbout('finding', row)).toHaveLength(1)
  const kept = await loadPicture({ id: added.id, state: 'waiting', media: 'voice' }, 'picture')
  expect(kept?.type).toBe('audio/webm')
})

test('a voice note of a form is announced with the form', async () => {
  const form = `finding:${newId()}`
  await addFormVoiceNote(form, sound, 'Voice note')
  const found = await recordFinding({ job_id: newId(), words: 'Hums', rank: 'needed' }, formPicturesOf(form))
  expect(attachmentsAbout('finding', found)).toMatchObject([{ media: 'voice', seconds: 42 }])
})

test('a voice note of another phone is fetched once; a page or a picture in its place is none', async () => {
  const answers = ['text/html', 'image/jpeg', 'audio/mp4']
  const asked: string[] = []
  vi.stubGlobal('fetch', (path: string) => {
    asked.push(path)
    const type = answers.shift() ?? ''
    return Promise.resolve(new Response(new Uint8Array([7]), { headers: { 'Content-Type': type } }))
  })
  const row = { id: 'a', state: 'ready', media: 'voice' } as const
  expect(await loadPicture(row, 'picture')).toBeNull()
  expect(await loadPicture(row, 'picture')).toBeNull()
  expect((await loadPicture(row, 'picture'))?.type).toBe('audio/mp4')
  expect((await loadPicture(row, 'picture'))?.type).toBe('audio/mp4')
  expect(asked).toEqual(Array(3).fill('/api/v1/attachments/a/voice'))
})

test('a removed picture is deleted from this phone at once', async () => {
  const added = await addPreparedPicture(words, shrunk(10))
  if (!added.done) throw new Error(added.because)
  await removePicture(added.id)
  expect(shop.view.get('attachment', added.id)).toBeUndefined()
  expect(await readPicture(db, added.id, 'picture')).toBeNull()
  expect(syncSummary.value.pictures).toBe(0)
})

test.each([
  ['signing out', () => shop.clearShop()],
  ['taken off the list of the shop', () => new LocalDatabase(db, () => undefined).retire()],
])('%s: pictures that the server has are deleted, unsent ones stay', async (_, leave) => {
  await storeTaken(db, 'unsent', shrunk(10), '')
  await storeTaken(db, 'whole', shrunk(10), '')
  await updateUpload(db, 'whole', { sent: 10 })
  await storeFetched(db, 'fetched', 'thumbnail', picture(10))
  await leave()
  expect((await readUploads(db)).map(({ id }) => id)).toEqual(['unsent'])
  expect(await readPicture(db, 'unsent', 'picture')).not.toBeNull()
  expect(await readPicture(db, 'whole', 'picture')).toBeNull()
  expect(await readPicture(db, 'fetched', 'thumbnail')).toBeNull()
})

test('a picture of a form is not sent until the form is saved, with its attachment', async () => {
  const form = `finding:${newId()}`
  await addPreparedFormPicture({ form, taken_at: words.taken_at, caption: '' }, shrunk(3000))
  await addPreparedFormPicture({ form: 'finding:another', taken_at: words.taken_at, caption: '' }, shrunk(10))
  expect(formPicturesOf(form)).toHaveLength(1)
  // Not to be sent yet.
  expect(syncSummary.value).toMatchObject({ waiting: 0, pictures: 0 })
  // The form was left and the app restarted.
  await shop.readSending()
  const kept = formPicturesOf(form)
  const found = await recordFinding({ job_id: newId(), words: 'Belt frayed', rank: 'needed' }, kept)
  expect(attachmentsAbout('finding', found).map(({ id, bytes }) => [id, bytes])).toEqual([
    [kept[0]?.id, 3000],
  ])
  expect(formPicturesOf(form)).toEqual([])
  expect(syncSummary.value).toMatchObject({ waiting: 2, pictures: 1 })
  expect((await readUploads(db)).map(({ unsaid }) => unsaid?.form)).toEqual([undefined, 'finding:another'])
})
