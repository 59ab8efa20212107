import { afterEach, beforeEach, expect, test } from 'vitest'
import { NoSignal, Problem } from '../api/problem'
import type { Customer } from '../domain/rows'
import { addCustomer, customers, editCustomer } from './customers'
import { Phone } from './fakes/phone'
import { FakeServer } from './fakes/server'
import { addMachine, recordMeter } from './machines'
import { bringBack, dismiss, putAside, queue, status, tryAgain } from './queue'

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

/** The phone shows what the server holds, and has nothing left to send. */
function expectSettled(): void {
  expect(phone.outbox).toEqual([])
  const held = new Map([...server.state.rows].flatMap(([key, { row }]) => (row ? [[key, row] as const] : [])))
  expect(phone.shown()).toEqual(held)
}

test('what was written without a signal is on the server once there is one, and on a second phone', async () => {
  server.faults = ['drop']
  const id = await add('Ada Quill')
  await phone.does(() => addMachine({ customer_id: id, kind: 'chipper' }))
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  expect(names()).toEqual(['Ada Quill'])
  expect(status.value).toMatchObject({ waiting: 2, ready: false })
  await phone.sync()
  expectSettled()
  expect(status.value).toMatchObject({ waiting: 0, ready: true, letter: 'A' })
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
  expectSettled()
})

test('whatever request is dropped, lost or refused as busy, later rounds end with everything in place', async () => {
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
  expectSettled()
  expect(serverNames()).toHaveLength(18)
  expect([...server.carried.values()].every((times) => times === 1)).toBe(true)
})

test('a queue longer than a push goes out in order, and a wish to wait is passed on', async () => {
  for (let at = 0; at < 220; at++) await add(`customer ${at}`)
  server.faults = [null, null, null, 'busy']
  await expect(phone.sync()).rejects.toMatchObject({ status: 503, retry_after_s: 7 })
  expect(serverNames()).toHaveLength(100)
  await phone.sync()
  expectSettled()
  expect(server.rows('customer').map(({ name }) => name)).toEqual(
    Array.from({ length: 220 }, (_, at) => `customer ${at}`),
  )
})

test('a push stays under the size a server takes, whatever the letters weigh', async () => {
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
  expectSettled()
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
  expectSettled()
})

test('what an earlier page of a long pull brings does not acknowledge what comes on a later one', async () => {
  await phone.sync()
  server.page_rows = 2
  for (let at = 0; at < 5; at++) server.put('customer', row(`other ${at}`))
  await add('mine')
  const missing: number[] = []
  const stop = customers.subscribe((rows) => {
    if (!rows.some(({ name }) => name === 'mine')) missing.push(rows.length)
  })
  await phone.sync()
  stop()
  expect(missing).toEqual([])
  expectSettled()
})

test('a refused intent stays in the queue with its reason; the rest goes on; it can be tried again', async () => {
  await add('BAD')
  await add('good')
  await phone.sync()
  expect(serverNames()).toEqual(['good'])
  expect(names()).toEqual(['good'])
  expect(queue.value).toMatchObject([{ no: 1, status: 'rejected', code: 'bad', words: 'No such name.' }])
  expect(status.value).toMatchObject({ waiting: 0, refused: 1 })

  await phone.does(() => tryAgain(queue.value[0]?.id ?? ''))
  expect(queue.value).toMatchObject([{ no: 3, status: 'waiting', tries: 0 }])
  await phone.sync()
  expect(queue.value).toMatchObject([{ no: 3, status: 'rejected' }])
})

test('a refused command that is let go stays among those put aside, and can be brought back', async () => {
  await add('BAD')
  await phone.sync()
  const id = queue.value[0]?.id ?? ''
  await phone.does(() => dismiss(id))
  expect(queue.value).toEqual([])
  expect(await putAside()).toMatchObject([{ id, made_words: 'BAD' }])
  await phone.does(() => bringBack(id))
  expect(queue.value).toMatchObject([{ id, status: 'rejected' }])
  expect(await putAside()).toEqual([])
})

test('what waits to be sent cannot be let go', async () => {
  await add('waiting')
  const id = queue.value[0]?.id ?? ''
  await phone.does(() => dismiss(id))
  expect(queue.value).toMatchObject([{ id, status: 'waiting' }])
})

test('a held fact is seen in the queue until a person has settled it', async () => {
  await phone.does(() => recordMeter({ machine_id: 'm', hours: '-1', read_on: '2026-05-01' }))
  await phone.sync()
  expect(queue.value).toMatchObject([{ status: 'held', code: 'doubted' }])
  const id = queue.value[0]?.id ?? ''
  const recorded = server.state.commands.get(id)
  server.state.commands.set(id, {
    digest: recorded?.digest ?? '',
    outcome: { id, status: 'applied', code: null, words: null, fields: [] },
  })
  server.put('customer', row('settled elsewhere'))
  await phone.sync()
  await phone.sync()
  expect(queue.value).toEqual([])
})

test('the first fetch goes on at the page where it stopped, and what changes meanwhile is not missed', async () => {
  server.page_rows = 10
  for (let at = 0; at < 35; at++) server.put('customer', row(`customer ${at}`))
  server.faults = [null, null, null, null, 'drop']
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  expect(status.value.ready).toBe(false)
  server.put('customer', row('meanwhile'))
  server.drop('customer', 'id of customer 3')
  server.calls.length = 0
  await phone.sync()
  expect(server.calls.filter((call) => call === 'snapshot')).toHaveLength(2)
  expectSettled()
  expect(names()).toHaveLength(35)
})

test.each(['horizon', 'view', 'fork'] as const)(
  'told to fetch anew (%s), the phone keeps its outbox and ends like the server',
  async (why) => {
    await add('before')
    server.put('customer', row('to be gone'))
    await phone.sync()
    expect(names()).toHaveLength(2)
    await add('while away')
    server.drop('customer', 'id of to be gone')
    if (why === 'horizon') server.state.horizon = server.state.seq + 1
    else if (why === 'view') server.view = 'v2'
    else server.state.epoch += 1
    await phone.sync()
    expectSettled()
    expect(names()).toEqual(['before', 'while away'])
    expect([...server.carried.values()].every((times) => times === 1)).toBe(true)
  },
)

test('after the server came back from a backup it gets again what it had lost, once', async () => {
  await add('in the backup')
  await phone.sync()
  const backup = server.backup()
  await add('lost one')
  await add('lost two')
  await phone.sync()
  expect((await phone.stored('kept')).map(({ no }) => no)).toEqual([1, 2, 3])
  server.restore(backup)
  expect(serverNames()).toEqual(['in the backup'])
  await add('written after')
  await phone.sync()
  expectSettled()
  expect(serverNames()).toEqual(['in the backup', 'lost one', 'lost two', 'written after'])
})

test('a phone with nothing new to send also gives back what the server had lost', async () => {
  await add('in the backup')
  await phone.sync()
  const backup = server.backup()
  await add('lost')
  await phone.sync()
  server.restore(backup)
  await phone.sync()
  expectSettled()
  expect(serverNames()).toEqual(['in the backup', 'lost'])
})

test('what is saved while a pull is under way stays to be sent', async () => {
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

test('a server restored to before it knew the device is told of the device again', async () => {
  const empty = server.backup()
  await add('one')
  await phone.sync()
  server.restore(empty)
  await add('two')
  await phone.sync()
  expectSettled()
  expect(serverNames()).toEqual(['one', 'two'])
})

test('commands that a backup of the server holds are not kept any longer', async () => {
  await add('one')
  await add('two')
  await phone.sync()
  server.state.safe_no = 1
  server.put('customer', row('news'))
  await phone.sync()
  expect((await phone.stored('kept')).map(({ no }) => no)).toEqual([2])
})

test('a phone copied from another goes on as a new device, and nothing is lost or done twice', async () => {
  await add('shared past')
  await phone.sync()
  const device = server.state.devices.get(phone.shop.standing.value.device.id)
  if (device) device.next_no += 1
  await add('mine one')
  await add('mine two')
  await phone.sync()
  expectSettled()
  expect(serverNames()).toEqual(['mine one', 'mine two', 'shared past'])
  expect(server.state.devices.size).toBe(2)
  expect(status.value).toMatchObject({ forked: true, letter: 'B' })
  await add('later')
  await phone.sync()
  expectSettled()
})

test('a fork after a lost answer does not send again what the server has', async () => {
  await phone.sync()
  await add('arrived')
  server.faults = [null, 'lose']
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  await add('not yet')
  const device = server.state.devices.get(phone.shop.standing.value.device.id)
  if (device) device.next_no += 1
  await phone.sync()
  expectSettled()
  expect(serverNames()).toEqual(['arrived', 'not yet'])
  expect([...server.carried.values()]).toEqual([1, 1])
})

test('a gap is closed with the commands that the server has forgotten', async () => {
  await add('one')
  await add('two')
  await phone.sync()
  const device = server.state.devices.get(phone.shop.standing.value.device.id)
  if (device) device.next_no = 2
  for (const [id, { digest }] of server.state.commands)
    if (digest.includes('"two"')) server.state.commands.delete(id)
  await add('three')
  await phone.sync()
  expectSettled()
  expect(serverNames()).toEqual(['one', 'three', 'two'])
  expect(status.value.forked).toBe(false)
})

test('nobody signed in: the round stops, everything stays, and goes on after signing in', async () => {
  await phone.sync()
  await add('waits')
  phone.remote = server.for(null)
  await expect(phone.sync()).rejects.toMatchObject({ because: 'signed_out' })
  phone.remote = server.for(phone.shop.who.member_id)
  server.faults = [null, 'signed_out']
  await expect(phone.sync()).rejects.toMatchObject({ because: 'signed_out' })
  expect(names()).toEqual(['waits'])
  await phone.sync()
  expectSettled()
})

test("another member's sign-in never sends this member's commands", async () => {
  await add('mine')
  phone.remote = server.for('somebody else')
  await expect(phone.sync()).rejects.toMatchObject({ because: 'other_member' })
  expect(server.calls).toEqual(['session'])
})

test('a device taken off the list stops, gives up the rows and keeps what was not sent', async () => {
  await add('known')
  await phone.sync()
  await add('unsent')
  const device = server.state.devices.get(phone.shop.standing.value.device.id)
  if (device) device.retired = true
  await expect(phone.sync()).rejects.toMatchObject({ because: 'retired' })
  await phone.quiet()
  expect(names()).toEqual(['unsent'])
  expect(phone.outbox).toHaveLength(1)
  server.calls.length = 0
  await expect(phone.sync()).rejects.toMatchObject({ because: 'retired' })
  expect(server.calls).toEqual([])

  await phone.shop.comeBack()
  await phone.sync()
  expectSettled()
  expect(serverNames()).toEqual(['known', 'unsent'])
})

test('an app too old to fetch says so after its commands are through', async () => {
  await phone.sync()
  await add('old but true')
  server.faults = [null, null, 'too_old']
  await expect(phone.sync()).rejects.toMatchObject({ because: 'upgrade' })
  expect(serverNames()).toEqual(['old but true'])
})

test('a server that asks to begin anew again and again is left alone until later', async () => {
  await phone.sync()
  const pull = phone.remote.pull
  phone.remote = { ...phone.remote, pull: async () => ({ resync: 'horizon' }) }
  await expect(phone.sync()).rejects.toThrow(/again and again/)
  phone.remote = { ...phone.remote, pull }
  await phone.sync()
  expectSettled()
})

test('rows wiped at signing out do not come back with a page that was on its way', async () => {
  server.put('customer', row('private'))
  await phone.sync()
  const { cursor } = await phone.local.read()
  await phone.shop.wipe()
  await phone.local.keepPage(
    { rows: { customer: [row('late')] }, gone: [], acks: {}, cursor: 'c', more: false, safe_no: 0 },
    cursor ?? '',
  )
  const rows = await phone.shop.db.run('readonly', ['base'], (tx) => tx.objectStore('base').count())
  expect(rows).toBe(0)
})

test('a thousand rows in one pull page are all written', async () => {
  await phone.sync()
  server.page_rows = 2000
  for (let at = 0; at < 1000; at++) server.put('customer', row(`customer ${at}`))
  await phone.sync()
  expectSettled()
  expect(names()).toHaveLength(1000)
})

test('a refusal that is none of these is passed on as it is', async () => {
  phone.remote = {
    ...phone.remote,
    register: async () => {
      throw new Problem(403, { code: 'forbidden' }, null)
    },
  }
  await expect(phone.sync()).rejects.toMatchObject({ status: 403, code: 'forbidden' })
})

function row(name: string): Customer {
  return {
    id: `id of ${name}`,
    created_at: '2026-04-01T08:00:00.000Z',
    changed_at: '2026-04-01T08:00:00.000Z',
    name,
    person: '',
    phone: '',
    email: '',
    address: '',
    notes: '',
    tax_exempt: false,
    exempt_reason: '',
    archived: false,
  }
}
