import { type IDBPDatabase, openDB } from 'idb'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { newId } from '../browser/clock'
import { appendCommands } from '../queue/outbox'
import { ShopDatabase } from './shopDatabase'

let name: string
let db: ShopDatabase

beforeEach(() => {
  name = `drawbar:${newId()}:ada`
  db = new ShopDatabase(name)
})

afterEach(async () => {
  vi.restoreAllMocks()
  await db.destroy()
})

/** The version of the database before rows were rewritten for the first time. */
const FORMER = 3

/** The database as a former build left it, with two unsent commands and a row of the server. */
async function leftByFormerBuild(): Promise<void> {
  const former = await openDB(name, FORMER, {
    upgrade(opened) {
      opened.createObjectStore('base', { keyPath: ['kind', 'id'] }).createIndex('generation', 'generation')
      for (const store of ['outbox', 'kept', 'aside', 'sending'])
        opened.createObjectStore(store, { keyPath: 'id' })
      opened.createObjectStore('meta')
      opened
        .createObjectStore('pictures', { keyPath: ['id', 'size'] })
        .createIndex('age', ['used_at', 'bytes'])
      opened.createObjectStore('drafts', { keyPath: 'name' })
    },
  })
  await former.put('meta', { id: 'device', letter: 'B' }, 'device')
  await former.put('meta', 3, 'next_no')
  await former.put('base', { kind: 'customer', id: 'a', generation: 1, row: { id: 'a' } })
  for (const no of [1, 2])
    await former.put('outbox', {
      id: `command ${no}`,
      no,
      device_id: 'device',
      name: 'add_customer',
      status: 'waiting',
    })
  former.close()
}

const versionOf = async () => (await indexedDB.databases()).find((each) => each.name === name)?.version

const readOutbox = () => db.run('readonly', ['outbox'], (tx) => tx.objectStore('outbox').getAll())

test('an upgrade that is aborted halfway leaves the queue as it was, and the next start finishes it', async () => {
  await leftByFormerBuild()
  const put = IDBObjectStore.prototype.put
  vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (this: IDBObjectStore, ...given) {
    // After the row is deleted, before its new form is stored.
    if (this.name === 'base') throw new DOMException('the disk is full', 'QuotaExceededError')
    return Reflect.apply(put, this, given)
  })
  await expect(readOutbox()).rejects.toMatchObject({ name: 'QuotaExceededError' })
  expect(await versionOf()).toBe(FORMER)
  vi.restoreAllMocks()

  expect((await readOutbox()).map(({ id, no }) => [id, no])).toEqual([
    ['command 1', 1],
    ['command 2', 2],
  ])
  expect(await versionOf()).toBeGreaterThan(FORMER)
  const rows = await db.run('readonly', ['base'], (tx) => tx.objectStore('base').count())
  expect(rows).toBe(1)
  const [next] = await appendCommands(db, [
    { name: 'add_customer', args: { id: newId(), name: 'Miriam' }, made_words: 'Miriam' },
  ])
  expect(next).toMatchObject({ no: 3, device_id: 'device' })
})

test('an upgrade waits until a tab of the former build has closed its database', async () => {
  await leftByFormerBuild()
  const asked = vi.fn()
  const old: IDBPDatabase = await openDB(name, FORMER, { blocking: asked })
  const opening = readOutbox()
  await vi.waitFor(() => expect(asked).toHaveBeenCalledOnce())
  // It may finish what it has in hand: this command is not lost.
  await old.put('outbox', {
    id: 'command 3',
    no: 3,
    device_id: 'device',
    name: 'add_customer',
    status: 'waiting',
  })
  old.close()
  expect((await opening).map(({ no }) => no)).toEqual([1, 2, 3])
})

test('a tab of this build lets go of its database for a newer one', async () => {
  await appendCommands(db, [
    { name: 'add_customer', args: { id: newId(), name: 'Miriam' }, made_words: 'Miriam' },
  ])
  const newer = await openDB(name, 1000)
  expect((await newer.getAll('outbox')).map(({ no }) => no)).toEqual([1])
  newer.close()
  // And saves nothing in a form that the newer one no longer reads.
  await expect(readOutbox()).rejects.toMatchObject({ name: 'VersionError' })
})
