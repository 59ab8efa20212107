import { afterEach, beforeEach, expect, test } from 'vitest'
import { NoSignal } from '../../api/problem'
import type { Customer } from '../../domain/contract'
import { editCustomer } from '../customerEdits'
import { addCustomer, customers } from '../customers'
import { Phone } from '../fakes/phone'
import { customerRow } from '../fakes/rows'
import { FakeServer } from '../fakes/server'
import { expectSettled } from '../fakes/settled'
import { addMachine, recordMeter } from '../machines'
import {
  dismissEntry,
  dismissedEntries,
  queue,
  restoreEntry,
  retryRejected,
  syncSummary,
} from '../queue/queue'

let server: FakeServer
let phone: Phone

beforeEach(async () => {
  server = new FakeServer()
  phone = await Phone.open(server)
})

afterEach(() => phone.close())

const add = (name: string) => phone.does(() => addCustomer({ name }))
const names = () => customers.value.map(({ name }) => name)
const serverNames = () =>
  server
    .rows('customer')
    .map(({ name }) => name)
    .sort()

test('offline work reaches the server and a second phone', async () => {
  server.faults = ['drop']
  const id = await add('Ada Quill')
  await phone.does(() => addMachine({ customer_id: id, kind: 'chipper' }))
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  expect(names()).toEqual(['Ada Quill'])
  expect(syncSummary.value).toMatchObject({ waiting: 2, ready: false })
  await phone.sync()
  expectSettled(phone, server)
  expect(syncSummary.value).toMatchObject({ waiting: 0, ready: true, letter: 'A' })
  const second = await Phone.open(server, { ...phone.shop.who, member_id: 'another' })
  await second.sync()
  expect(second.shown()).toEqual(phone.shown())
  await second.close()
})

test('a push whose answer is lost has one effect', async () => {
  await phone.sync()
  await add('Ada Quill')
  server.faults = [null, 'lose']
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  expect(serverNames()).toEqual(['Ada Quill'])
  expect((await phone.stored('outbox')).map(({ status, tries }) => [status, tries])).toEqual([['sent', 1]])
  await phone.sync()
  expect([...server.carried.values()]).toEqual([1])
  expectSettled(phone, server)
})

test('after any dropped, lost or busy request later rounds complete the sync', async () => {
  for (const fault of ['drop', 'lose', 'busy'] as const) {
    for (let call = 0; call < 6; call++) {
      await add(`${fault} ${call}`)
      server.faults = [...Array.from({ length: call }, () => null), fault]
      await phone.sync().catch(() => undefined)
      expect(names()).toContain(`${fault} ${call}`)
      server.faults = []
    }
  }
  await phone.sync()
  expectSettled(phone, server)
  expect(serverNames()).toHaveLength(18)
  expect([...server.carried.values()].every((times) => times === 1)).toBe(true)
})

test('a queue longer than a push is sent in order, and Retry-After is passed on', async () => {
  for (let at = 0; at < 220; at++) await add(`customer ${at}`)
  server.faults = [null, null, null, 'busy']
  await expect(phone.sync()).rejects.toMatchObject({ status: 503, retry_after_s: 7 })
  expect(serverNames()).toHaveLength(100)
  await phone.sync()
  expectSettled(phone, server)
  expect(server.rows('customer').map(({ name }) => name)).toEqual(
    Array.from({ length: 220 }, (_, at) => `customer ${at}`),
  )
})

test('a push stays under the size limit, whatever the encoding', async () => {
  const sizes: number[] = []
  const push = phone.remote.push
  phone.remote = {
    ...phone.remote,
    push: (id, entries) => {
      sizes.push(new TextEncoder().encode(JSON.stringify(entries)).length)
      return push(id, entries)
    },
  }
  const notes = '日'.repeat(4000)
  for (let at = 0; at < 60; at++) await phone.does(() => addCustomer({ name: `${at}`, notes }))
  await phone.sync()
  expect(sizes.length).toBeGreaterThan(1)
  expect(Math.max(...sizes)).toBeLessThan(512 * 1024)
  expectSettled(phone, server)
})

test('a pending value does not flicker back between the push and the pull', async () => {
  await add('Ada Quill')
  await phone.sync()
  const [seen] = customers.value as [Customer]
  await phone.does(() => editCustomer(seen, { name: 'Ada Quill-Moss' }))
  const shown = new Set<string>()
  const stop = customers.subscribe((rows) => {
    for (const { name } of rows) shown.add(name)
  })
  server.faults = [null, null, 'drop']
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  expect(phone.outbox.map(({ status }) => status)).toEqual(['applied'])
  await phone.sync()
  stop()
  expect(shown).toEqual(new Set(['Ada Quill-Moss']))
  expectSettled(phone, server)
})

test('an earlier page of a long pull does not acknowledge commands of a later one', async () => {
  await phone.sync()
  server.page_rows = 2
  for (let at = 0; at < 5; at++) server.put('customer', customerRow(`other ${at}`))
  await add('mine')
  const missing: number[] = []
  const stop = customers.subscribe((rows) => {
    if (!rows.some(({ name }) => name === 'mine')) missing.push(rows.length)
  })
  await phone.sync()
  stop()
  expect(missing).toEqual([])
  expectSettled(phone, server)
})

test('a rejected intent stays in the queue with its reason and can be retried; the rest is sent', async () => {
  await add('BAD')
  await add('good')
  await phone.sync()
  expect(serverNames()).toEqual(['good'])
  expect(names()).toEqual(['good'])
  expect(queue.value).toMatchObject([{ no: 1, status: 'rejected', code: 'bad', words: 'No such name.' }])
  expect(syncSummary.value).toMatchObject({ waiting: 0, refused: 1 })

  await phone.does(() => retryRejected(queue.value[0]?.id ?? ''))
  expect(queue.value).toMatchObject([{ no: 3, status: 'waiting', tries: 0 }])
  await phone.sync()
  expect(queue.value).toMatchObject([{ no: 3, status: 'rejected' }])
})

test('a discarded command can be restored', async () => {
  await add('BAD')
  await phone.sync()
  const id = queue.value[0]?.id ?? ''
  await phone.does(() => dismissEntry(id))
  expect(queue.value).toEqual([])
  expect(await dismissedEntries()).toMatchObject([{ id, made_words: 'BAD' }])
  await phone.does(() => restoreEntry(id))
  expect(queue.value).toMatchObject([{ id, status: 'rejected' }])
  expect(await dismissedEntries()).toEqual([])
})

test('an unsent command cannot be discarded', async () => {
  await add('waiting')
  const id = queue.value[0]?.id ?? ''
  await phone.does(() => dismissEntry(id))
  expect(queue.value).toMatchObject([{ id, status: 'waiting' }])
})

test('a held fact is shown in the queue until a person has settled it', async () => {
  await phone.does(() => recordMeter({ machine_id: 'm', hours: '-1', read_on: '2026-05-01' }))
  await phone.sync()
  expect(queue.value).toMatchObject([{ status: 'held', code: 'needs_review' }])
  const id = queue.value[0]?.id ?? ''
  const recorded = server.state.commands.get(id)
  server.state.commands.set(id, {
    digest: recorded?.digest ?? '',
    outcome: { id, status: 'applied', code: null, words: null, fields: [] },
  })
  server.put('customer', customerRow('settled elsewhere'))
  await phone.sync()
  await phone.sync()
  expect(queue.value).toEqual([])
})

test('an interrupted snapshot resumes at its page, and later changes are not missed', async () => {
  server.page_rows = 10
  for (let at = 0; at < 35; at++) server.put('customer', customerRow(`customer ${at}`))
  server.faults = [null, null, null, null, null, 'drop']
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  expect(syncSummary.value).toMatchObject({ ready: true, complete: false, fetched: 20, total: 35 })
  server.put('customer', customerRow('meanwhile'))
  server.drop('customer', 'id of customer 3')
  server.calls.length = 0
  await phone.sync()
  expect(server.calls.filter((call) => call === 'snapshot')).toHaveLength(2)
  expectSettled(phone, server)
  expect(names()).toHaveLength(35)
})

test('a new phone has open work first, and can save before the rest is here', async () => {
  for (let at = 0; at < 25; at++) server.put('customer', customerRow(`customer ${at}`))
  const here = ['customer 3', 'customer 20']
  server.first = new Set(here.map((name) => `customer id of ${name}`))
  server.page_rows = 10
  server.faults = [null, null, null, 'drop']
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  expect(server.calls).toEqual(['session', 'register', 'workingSet', 'snapshot'])
  expect(names().sort()).toEqual(['customer 20', 'customer 3'])
  expect(syncSummary.value).toMatchObject({ ready: true, complete: false, last_synced_at: null })
  // Removed before the rest is fetched: it must not stay.
  server.drop('customer', 'id of customer 3')
  await add('meanwhile')
  server.faults = [null, null, null, 'drop']
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  expect(serverNames()).toContain('meanwhile')
  expect(names()).toContain('meanwhile')
  await phone.sync()
  expectSettled(phone, server)
  expect(syncSummary.value).toMatchObject({ ready: true, complete: true })
  expect(names()).toHaveLength(25)
  expect(server.calls.filter((call) => call === 'workingSet')).toHaveLength(1)
})

test('a command saved while the rest is fetched does not wait for its last page', async () => {
  for (let at = 0; at < 25; at++) server.put('customer', customerRow(`customer ${at}`))
  server.page_rows = 10
  const { snapshot } = phone.remote
  phone.remote = {
    ...phone.remote,
    snapshot: async (...asked) => {
      if (asked[1] === null) await add('in between')
      return snapshot(...asked)
    },
  }
  await phone.sync()
  expect(server.calls.slice(0, 6)).toEqual([
    'session',
    'register',
    'workingSet',
    'snapshot',
    'push',
    'snapshot',
  ])
  expectSettled(phone, server)
})

test('the first rows resume at their page', async () => {
  for (let at = 0; at < 25; at++) server.put('customer', customerRow(`customer ${at}`))
  server.first = new Set(server.state.rows.keys())
  server.page_rows = 10
  server.faults = [null, null, null, 'drop']
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  expect(syncSummary.value.ready).toBe(false)
  server.calls.length = 0
  await phone.sync()
  expect(server.calls.filter((call) => call === 'workingSet')).toHaveLength(2)
  expectSettled(phone, server)
})

test('a phone that has rows shows them while it fetches a new snapshot', async () => {
  await phone.sync()
  server.view = 'v2'
  server.calls.length = 0
  await phone.sync()
  expect(server.calls).not.toContain('workingSet')
  expect(syncSummary.value).toMatchObject({ ready: true, complete: true })
})

test('a command saved during a pull stays unsent', async () => {
  await phone.sync()
  const pull = phone.remote.pull
  phone.remote = {
    ...phone.remote,
    pull: async (...asked) => {
      await add('in between')
      return pull(...asked)
    },
  }
  await phone.sync()
  expect(phone.outbox).toMatchObject([{ made_words: 'in between', status: 'waiting' }])
  await phone.sync()
  expect(serverNames()).toEqual(['in between'])
})

test('a thousand rows in one pull page are all written', async () => {
  await phone.sync()
  server.page_rows = 2000
  for (let at = 0; at < 1000; at++) server.put('customer', customerRow(`customer ${at}`))
  await phone.sync()
  expectSettled(phone, server)
  expect(names()).toHaveLength(1000)
})
