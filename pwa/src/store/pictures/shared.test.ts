import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { SHARED } from '../../domain/shared'
import { Phone } from '../fakes/phone'
import { FakeServer } from '../fakes/server'
import { shopSession } from '../session/shopSession'
import { dropShared, jobsByLastUse, putIntoJob, readShared } from './shared'
import { countShared } from './sharedCache'

const added = vi.hoisted(() => vi.fn())
vi.mock('./pictures', () => ({ addPicture: added }))

/** A cache by address, as the service worker fills it. */
let kept: Map<string, Response>
let phone: Phone

beforeEach(async () => {
  kept = new Map()
  const at = (key: string | Request) => (typeof key === 'string' ? key : key.url)
  const cache = {
    keys: async () => [...kept.keys()].map((url) => ({ url })),
    match: async (key: string | Request) => kept.get(at(key))?.clone(),
    delete: async (key: string | Request) => kept.delete(at(key)),
  }
  vi.stubGlobal('caches', { open: async () => cache })
  phone = await Phone.open(new FakeServer())
  shopSession.value = phone.shop
  added.mockReset().mockResolvedValue({ done: true, id: 'x' })
})
afterEach(async () => {
  vi.unstubAllGlobals()
  shopSession.value = null
  await phone.close()
})

const share = (key: string, body: string, type: string) =>
  kept.set(
    key,
    new Response(body, { headers: { 'Content-Type': type, [SHARED.name]: 'a%20b.jpg', [SHARED.at]: '99' } }),
  )

test('pictures and texts wait in the order they were shared', async () => {
  share('/share/1', 'one', 'image/jpeg')
  share('/share/2', 'Bent spindle', 'text/plain')
  expect(await countShared()).toBe(2)
  const { pictures, texts } = await readShared()
  expect(pictures.map(({ file }) => [file.name, file.type, file.lastModified])).toEqual([
    ['a b.jpg', 'image/jpeg', 99],
  ])
  expect(texts).toEqual([{ key: '/share/2', text: 'Bent spindle' }])
  await dropShared(['/share/2'])
  expect([...kept.keys()]).toEqual(['/share/1'])
})

test('a picture is deleted only once its job has it; one that cannot be kept stays', async () => {
  share('/share/1', 'one', 'image/jpeg')
  share('/share/2', 'two', 'image/jpeg')
  const { pictures } = await readShared()
  added
    .mockResolvedValueOnce({ done: true, id: 'x' })
    .mockResolvedValueOnce({ done: false, because: 'no_room' })
  expect(await putIntoJob('job', pictures, 'Bent spindle')).toEqual({ done: false, because: 'no_room' })
  expect(added.mock.calls.map(([, id, , caption]) => [id, caption])).toEqual([
    ['job', 'Bent spindle'],
    ['job', ''],
  ])
  expect([...kept.keys()]).toEqual(['/share/2'])
  expect(await putIntoJob('job', pictures.slice(1), '')).toBeNull()
  expect(kept.size).toBe(0)
})

test('open jobs are listed by last use', () => {
  const jobRow = (id: string, stage = 'repair') => ['job', id, { id, stage, promised_on: null }]
  const picture = { id: 'p', about_kind: 'job', about_id: 'b', taken_at: '2026-11-23T15:00:00Z' }
  const rows = [jobRow('a'), jobRow('b'), jobRow('c'), jobRow('d', 'closed'), ['attachment', 'p', picture]]
  phone.shop.view.refresh({ rows: rows as never, outbox: [] })
  expect(jobsByLastUse().map(({ id }) => id)).toEqual(['b', 'a', 'c'])
})

test('without a cache nothing waits', async () => {
  vi.stubGlobal('caches', undefined)
  expect(await readShared()).toEqual({ pictures: [], texts: [] })
  expect(await countShared()).toBe(0)
})
