import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { storeTaken } from '../pictures/pictureStore'

/** A fake network: a server with one or two members, or no connection. */
const server = {
  line: true,
  /** The next sign-in is served and its answer lost. */
  loses_answer: false,
  signed_in: null as string | null,
  shop: 'shop',
  members: { 'ada@shop.example': 'ada', 'otis@shop.example': 'otis' } as Record<string, string>,
  calls: [] as string[],
}

function answer(): Response {
  const member = server.signed_in
  const body = member
    ? {
        signed_in: true,
        csrf: 't',
        first_shop_needed: false,
        member: { id: member, name: member, role: 'owner' },
        shop: { id: server.shop, name: 'Shop' },
        permissions: ['quote'],
      }
    : { signed_in: false, csrf: 't', first_shop_needed: false, member: null, shop: null, permissions: [] }
  return Response.json(body)
}

async function serve(path: string, init: RequestInit): Promise<Response> {
  if (!server.line) throw new TypeError('failed to fetch')
  server.calls.push(`${init.method} ${path}`)
  if (init.method === 'DELETE') server.signed_in = null
  if (init.method === 'POST') {
    const { email } = JSON.parse(String(init.body)) as { email: string }
    const member = server.members[email]
    if (!member)
      return Response.json(
        { status: 400, code: 'wrong_credentials', detail: 'Check both.' },
        { status: 400, headers: { 'Content-Type': 'application/problem+json' } },
      )
    server.signed_in = member
    if (server.loses_answer) {
      server.loses_answer = false
      throw new TypeError('failed to fetch')
    }
  }
  return answer()
}

/** A fake sync worker; the real one has its own tests. */
class SilentWorker {
  static running = 0
  postMessage = vi.fn()
  constructor() {
    SilentWorker.running += 1
  }
  terminate() {
    SilentWorker.running -= 1
  }
}

const stored = new Map<string, string>()
/** The caches of the origin, each with how much it holds. */
const cached = new Map<string, number>()

/** The app after a reload of its page. */
async function reopened() {
  vi.resetModules()
  const modules = {
    ...(await import('./session')),
    ...(await import('../customers')),
    ...(await import('../queue/queue')),
    ...(await import('./shopSession')),
    ...(await import('../sync/localDatabase')),
  }
  open.push(modules)
  return modules
}

const open: { closeShop: () => Promise<void> }[] = []

beforeEach(() => {
  Object.assign(server, { line: true, loses_answer: false, signed_in: null, shop: 'shop', calls: [] })
  stored.clear()
  cached.clear()
  SilentWorker.running = 0
  vi.stubGlobal('fetch', serve)
  vi.stubGlobal('Worker', SilentWorker)
  vi.stubGlobal('caches', { open: async () => ({}), delete: async (name: string) => cached.delete(name) })
  vi.stubGlobal('localStorage', {
    getItem: (key: string) => stored.get(key) ?? null,
    setItem: (key: string, value: string) => stored.set(key, value),
    removeItem: (key: string) => stored.delete(key),
  })
})

afterEach(async () => {
  for (const app of open.splice(0)) await app.closeShop()
  for (const { name } of await indexedDB.databases()) indexedDB.deleteDatabase(name ?? '')
  vi.unstubAllGlobals()
})

test('a new phone asks for a sign-in', async () => {
  const app = await reopened()
  await app.startSession()
  expect(app.session.value).toMatchObject({ state: 'signed_out', member: null })
  expect(SilentWorker.running).toBe(0)
})

test('wrong credentials and a lost connection give different errors', async () => {
  const app = await reopened()
  expect(await app.signIn('nobody@shop.example', 'x')).toMatchObject({
    done: false,
    because: 'wrong_credentials',
  })
  server.line = false
  expect(await app.signIn('ada@shop.example', 'x')).toMatchObject({ done: false, because: 'no_signal' })
  expect(app.shopSession.value).toBeNull()
})

test('once signed in, the app opens without a signal, with its queue', async () => {
  const before = await reopened()
  expect(await before.signIn('ada@shop.example', 'x')).toEqual({ done: true })
  expect(before.permissions.value.has('quote')).toBe(true)
  await before.addCustomer({ name: 'Miriam' })
  server.line = false
  const after = await reopened()
  await after.startSession()
  expect(after.session.value).toMatchObject({
    state: 'signed_in',
    member: { id: 'ada' },
    shop: { id: 'shop' },
  })
  expect(after.customers.value.map(({ name }) => name)).toEqual(['Miriam'])
  expect(after.syncSummary.value.waiting).toBe(1)
})

test('an expired sign-in is asked for again, and the shop stays open', async () => {
  const before = await reopened()
  await before.signIn('ada@shop.example', 'x')
  await before.addCustomer({ name: 'Miriam' })
  server.signed_in = null
  const after = await reopened()
  await after.startSession()
  expect(after.session.value).toMatchObject({ state: 'expired', member: { id: 'ada' } })
  expect(after.customers.value).toHaveLength(1)
  await after.addCustomer({ name: 'Otis' })
  await after.signIn('ada@shop.example', 'x')
  expect(after.session.value.state).toBe('signed_in')
  expect(after.syncSummary.value.waiting).toBe(2)
})

test('a sign-in whose answer is lost can be repeated, and the queue stays', async () => {
  const app = await reopened()
  await app.signIn('ada@shop.example', 'x')
  await app.addCustomer({ name: 'Miriam' })
  server.signed_in = null
  await app.startSession()
  expect(app.session.value.state).toBe('expired')
  server.loses_answer = true
  expect(await app.signIn('ada@shop.example', 'x')).toMatchObject({ done: false, because: 'no_signal' })
  expect(app.session.value).toMatchObject({ state: 'expired', member: { id: 'ada' } })
  expect(app.syncSummary.value.waiting).toBe(1)
  expect(await app.signIn('ada@shop.example', 'x')).toEqual({ done: true })
  expect(app.session.value.state).toBe('signed_in')
  expect(app.syncSummary.value.waiting).toBe(1)
})

test('the app asks for a sign-in when the worker finds none', async () => {
  const app = await reopened()
  await app.signIn('ada@shop.example', 'x')
  app.requireShopSession().onMessage({
    tell: 'pulse',
    pulse: { signal: 'yes', working: false, stopped: 'signed_out', no_room: false },
  })
  expect(app.session.value.state).toBe('expired')
})

test('signing out with unsent work needs a confirmation; the work stays for the next sign-in', async () => {
  const app = await reopened()
  await app.signIn('ada@shop.example', 'x')
  await app.addCustomer({ name: 'Miriam' })
  expect(await app.signOut()).toEqual({ done: false, unsent: 1, unfinished: 0 })
  expect(app.session.value.state).toBe('signed_in')
  expect(await app.signOut({ anyway: true })).toEqual({ done: true })
  expect(app.session.value.state).toBe('signed_out')
  expect(server.signed_in).toBeNull()
  expect(SilentWorker.running).toBe(0)

  await app.signIn('otis@shop.example', 'x')
  expect(app.customers.value).toEqual([])
  expect(app.syncSummary.value.waiting).toBe(0)
  await app.signOut()
  await app.signIn('ada@shop.example', 'x')
  expect(app.customers.value.map(({ name }) => name)).toEqual(['Miriam'])
  expect(app.syncSummary.value.waiting).toBe(1)
})

test('signing out with an unfinished form needs a confirmation; the draft is deleted', async () => {
  const app = await reopened()
  await app.signIn('ada@shop.example', 'x')
  const { db } = app.requireShopSession()
  const content = new ArrayBuffer(3)
  const unsaid = { form: 'finding:1', taken_at: '2026-11-28T10:42:00Z', caption: '' }
  await storeTaken(db, 'p', { picture: { type: 'image/jpeg', content }, small: null }, 'sum', unsaid)
  await db.run('readwrite', ['drafts'], (tx) =>
    tx.objectStore('drafts').put({
      name: 'finding:1',
      fields: { words: 'Belt frayed' },
      path: '/jobs/1/finding',
      title: 'New finding',
      over: '',
      typed_at: 0,
    }),
  )
  await app.requireShopSession().readAll()
  expect(await app.signOut()).toEqual({ done: false, unsent: 0, unfinished: 1 })
  expect(await app.signOut({ anyway: true })).toEqual({ done: true })
  const left = await db.run('readonly', ['drafts', 'pictures', 'sending'], (tx) =>
    Promise.all([
      tx.objectStore('drafts').count(),
      tx.objectStore('pictures').count(),
      tx.objectStore('sending').count(),
    ]),
  )
  expect(left).toEqual([0, 0, 0])
  await db.close()
})

test('signing out deletes the shop’s rows from the phone', async () => {
  const app = await reopened()
  await app.signIn('ada@shop.example', 'x')
  const { db } = app.requireShopSession()
  await db.run('readwrite', ['base', 'meta'], async (tx) => {
    const row = { id: 'c', name: 'Private' } as never
    await tx.objectStore('base').put({ kind: 'customer', id: 'c', generation: 1, row })
    await tx.objectStore('meta').put('1.2.x.y', 'cursor')
  })
  await app.signOut()
  const left = await db.run('readonly', ['base', 'meta'], async (tx) => [
    await tx.objectStore('base').count(),
    await tx.objectStore('meta').get('cursor'),
  ])
  expect(left).toEqual([0, undefined])
  await db.close()
})

test('signing out deletes what was shared; what is shared afterwards waits for the next sign-in', async () => {
  const app = await reopened()
  cached.set('drawbar-shared', 1)
  await app.signIn('ada@shop.example', 'x')
  await app.addCustomer({ name: 'Miriam' })
  expect(await app.signOut()).toMatchObject({ done: false })
  expect(cached.size).toBe(1)
  await app.signOut({ anyway: true })
  expect(cached.size).toBe(0)
  cached.set('drawbar-shared', 1).set('workbox-precache', 9)
  await app.signIn('otis@shop.example', 'x')
  expect(cached.size).toBe(2)
  await app.signOut()
  expect([...cached.keys()]).toEqual(['workbox-precache'])
})

test('a member of another shop does not see what was shared before they signed in over the former', async () => {
  const app = await reopened()
  await app.signIn('ada@shop.example', 'x')
  cached.set('drawbar-shared', 1)
  await app.signIn('otis@shop.example', 'x')
  expect(cached.size).toBe(1)
  server.shop = 'other'
  await app.signIn('ada@shop.example', 'x')
  expect(cached.size).toBe(0)
})

test('an offline sign-out is sent to the server first at the next start', async () => {
  const app = await reopened()
  await app.signIn('ada@shop.example', 'x')
  server.line = false
  expect(await app.signOut()).toEqual({ done: true })
  server.line = true
  const after = await reopened()
  await after.startSession()
  expect(server.signed_in).toBeNull()
  expect(after.session.value.state).toBe('signed_out')
})

test('a sign-out that its page did not live to finish is finished at the next start', async () => {
  const app = await reopened()
  await app.signIn('ada@shop.example', 'x')
  const { db } = app.requireShopSession()
  await db.run('readwrite', ['base'], async (tx) => {
    await tx.objectStore('base').put({ kind: 'customer', id: 'c', generation: 1, row: { id: 'c' } as never })
  })
  vi.spyOn(app.requireShopSession(), 'clearShop').mockReturnValue(new Promise(() => undefined))
  void app.signOut()
  await app.requireShopSession().pause()
  const after = await reopened()
  await after.startSession()
  expect(after.session.value).toMatchObject({ state: 'signed_out', member: null })
  expect(after.shopSession.value).toBeNull()
  expect(server.signed_in).toBeNull()
  await after.signIn('ada@shop.example', 'x')
  expect(after.customers.value).toEqual([])
})

test('a sign-out in another tab closes the shop here too', async () => {
  const app = await reopened()
  await app.signIn('ada@shop.example', 'x')
  app.requireShopSession().onMessage({ tell: 'session' })
  await vi.waitFor(() => expect(app.shopSession.value).toBeNull())
  expect(app.session.value.state).toBe('signed_out')
})

/** Acts as the worker after the server's answer that this device is signed off. */
async function signedOffByOwner(app: Awaited<ReturnType<typeof reopened>>): Promise<void> {
  const shop = app.shopSession.value
  if (!shop) throw new Error('no shop is open')
  await new app.LocalDatabase(shop.db, (message) => shop.onMessage(message)).retire()
  await vi.waitFor(() => expect(app.isSignedOff.value || app.shopSession.value === null).toBe(true))
}

test('a phone whose battery died before localStorage was on disk still knows its member', async () => {
  const app = await reopened()
  await app.signIn('ada@shop.example', 'x')
  stored.clear()
  server.line = false
  const after = await reopened()
  await after.startSession()
  expect(after.session.value).toMatchObject({ state: 'signed_in', member: { id: 'ada' } })
  expect(after.shopSession.value?.who).toEqual({ shop_id: 'shop', member_id: 'ada' })
  await after.signOut()
  const last = await reopened()
  await last.startSession()
  expect(last.session.value).toMatchObject({ state: 'signed_out', member: null })
  expect((await indexedDB.databases()).map(({ name }) => name)).not.toContain('drawbar')
})

test('a signed-off phone with nothing unsent erases the shop and its drafts, with and without a signal', async () => {
  for (const line of [true, false]) {
    const drafts = new Map([['draft:finding', '{"words":"worn"}']])
    vi.stubGlobal('sessionStorage', { clear: () => drafts.clear() })
    server.line = true
    const app = await reopened()
    await app.signIn('ada@shop.example', 'x')
    server.line = line
    cached.set('drawbar-shared', 1)
    await signedOffByOwner(app)
    await vi.waitFor(async () => expect(await indexedDB.databases()).toEqual([]))
    expect(cached.size).toBe(0)
    await vi.waitFor(() => expect(app.session.value.state).toBe('signed_out'))
    expect(app.hasForgottenShop()).toBe(true)
    expect(stored.get('drawbar.session')).toBeUndefined()
    expect([...drafts]).toEqual([])
    expect(SilentWorker.running).toBe(0)
    const after = await reopened()
    await after.startSession()
    expect(after.shopSession.value).toBeNull()
    expect(after.session.value).toMatchObject({ state: 'signed_out', member: null })
    server.line = true
    await after.signIn('ada@shop.example', 'x')
    expect(after.hasForgottenShop()).toBe(false)
    await after.signOut()
  }
})

test('a signed-off phone keeps unsent work, also when opened offline, and shows nothing else', async () => {
  const app = await reopened()
  await app.signIn('ada@shop.example', 'x')
  await app.addCustomer({ name: 'Miriam' })
  await signedOffByOwner(app)
  server.line = false
  const after = await reopened()
  await after.startSession()
  expect(after.isSignedOff.value).toBe(true)
  expect(after.syncSummary.value.waiting).toBe(1)
  const shop = after.shopSession.value
  if (!shop) throw new Error('what is unsent is kept')
  const local = new after.LocalDatabase(shop.db, (message) => shop.onMessage(message))
  const entries = await local.unsent(1)
  await local.saveOutcomes(
    entries.map(({ id }) => ({ id, status: 'held', code: 'device_retired', words: null, fields: [] })),
  )
  await vi.waitFor(async () => expect(await indexedDB.databases()).toEqual([]))
  await vi.waitFor(() => expect(after.session.value.state).toBe('signed_out'))
})
