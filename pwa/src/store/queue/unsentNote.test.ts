import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { addCustomer } from '../customers'
import { closeShop, openShop, requireShopSession } from '../session/shopSession'
import { forgetLost } from './lostWork'
import { syncSummary } from './queue'

const WHO = { shop_id: 'shop', member_id: 'ada' }
const stored = new Map<string, string>()
/** Commands that reached the server before the storage was cleared. */
const arrived = new Set<string>()

beforeEach(async () => {
  stored.clear()
  arrived.clear()
  vi.stubGlobal('localStorage', {
    getItem: (key: string) => stored.get(key) ?? null,
    setItem: (key: string, value: string) => stored.set(key, value),
    removeItem: (key: string) => stored.delete(key),
  })
  vi.stubGlobal('fetch', async (path: string) => {
    const id = path.split('/').at(-1) ?? ''
    return arrived.has(id) ? Response.json({ id, status: 'applied' }) : notFound()
  })
  await openShop(WHO)
})

afterEach(async () => {
  const { db } = requireShopSession()
  await closeShop()
  await db.destroy()
  vi.unstubAllGlobals()
})

const notFound = () =>
  new Response('{"status":404,"code":"not_found"}', {
    status: 404,
    headers: { 'Content-Type': 'application/problem+json' },
  })

/** Close the page, clear IndexedDB, open the app again. */
async function evicted() {
  const { db } = requireShopSession()
  await closeShop()
  await db.destroy()
  await openShop(WHO)
}

/** The rows are here and the server answers. */
async function heard() {
  const { db } = requireShopSession()
  await db.run('readwrite', ['meta'], (tx) => tx.objectStore('meta').put(1, 'generation'))
  requireShopSession().onMessage({ tell: 'everything' })
  requireShopSession().onMessage({
    tell: 'pulse',
    pulse: { signal: 'yes', working: false, stopped: null, no_room: false },
  })
}

test('cleared storage with unsent work is reported, without what the server has', async () => {
  await addCustomer({ name: 'Miriam' })
  await addCustomer({ name: 'Otis' })
  await evicted()
  expect(syncSummary.value).toMatchObject({ waiting: 0, lost: 2 })
  expect(requireShopSession().lost.value?.unsent.map(({ made_words }) => made_words)).toEqual([
    'Miriam',
    'Otis',
  ])
  const [first] = requireShopSession().lost.value?.unsent ?? []
  arrived.add(first?.id ?? '')
  await heard()
  await expect.poll(() => syncSummary.value.lost).toBe(1)
  // It is shown until a person has checked it.
  await addCustomer({ name: 'Ruth' })
  await closeShop()
  await openShop(WHO)
  expect(syncSummary.value).toMatchObject({ waiting: 1, lost: 1 })
  expect(requireShopSession().lost.value?.unsent.map(({ made_words }) => made_words)).toEqual(['Otis'])
  forgetLost()
  expect(syncSummary.value.lost).toBe(0)
})

test('nothing is reported if all of it has arrived', async () => {
  await addCustomer({ name: 'Miriam' })
  await evicted()
  arrived.add(requireShopSession().lost.value?.unsent[0]?.id ?? '')
  await heard()
  await expect.poll(() => syncSummary.value.lost).toBe(0)
})

test('cleared storage without unsent work is not reported', async () => {
  await evicted()
  expect(syncSummary.value.lost).toBe(0)
})

test('a phone that continues as a new device has lost nothing', async () => {
  await addCustomer({ name: 'Miriam' })
  const { resetDevice: beginAnew } = await import('../database/deviceReset')
  await beginAnew(requireShopSession().db)
  await closeShop()
  await openShop(WHO)
  expect(syncSummary.value).toMatchObject({ waiting: 1, lost: 0 })
})
