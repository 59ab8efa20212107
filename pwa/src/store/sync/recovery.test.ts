import { afterEach, beforeEach, expect, test } from 'vitest'
import { NoSignal, Problem } from '../../api/problem'
import { addCustomer, customers } from '../customers'
import { Phone } from '../fakes/phone'
import { customerRow } from '../fakes/rows'
import { FakeServer } from '../fakes/server'
import { expectSettled } from '../fakes/settled'
import { isUnsent } from '../queue/entry'
import { dismissEntry, syncSummary } from '../queue/queue'

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

test.each(['horizon', 'view', 'fork'] as const)(
  'after a resync (%s) the phone keeps its outbox and equals the server',
  async (why) => {
    await add('before')
    server.put('customer', customerRow('to be gone'))
    await phone.sync()
    expect(names()).toHaveLength(2)
    await add('while away')
    server.drop('customer', 'id of to be gone')
    if (why === 'horizon') server.state.horizon = server.state.seq + 1
    else if (why === 'view') server.view = 'v2'
    else server.state.epoch += 1
    await phone.sync()
    expectSettled(phone, server)
    expect(names()).toEqual(['before', 'while away'])
    expect([...server.carried.values()].every((times) => times === 1)).toBe(true)
  },
)

test('a restored server gets the lost commands again, once', async () => {
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
  expectSettled(phone, server)
  expect(serverNames()).toEqual(['in the backup', 'lost one', 'lost two', 'written after'])
})

test('a phone with nothing new also resends what a restored server lost', async () => {
  await add('in the backup')
  await phone.sync()
  const backup = server.backup()
  await add('lost')
  await phone.sync()
  server.restore(backup)
  await phone.sync()
  expectSettled(phone, server)
  expect(serverNames()).toEqual(['in the backup', 'lost'])
})

test('a discarded command stays discarded after a restore', async () => {
  const backup = server.backup()
  await add('kept')
  await add('BAD')
  await add('BAD')
  await phone.sync()
  const [let_go, refused] = await phone.stored('outbox')
  await dismissEntry(let_go?.id ?? '')
  server.restore(backup)
  // The restored server would accept it.
  server.refuses = ''
  await phone.sync()
  expect(serverNames()).toEqual(['kept'])
  expect(await phone.stored('outbox')).toMatchObject([{ id: refused?.id, status: 'rejected', code: 'bad' }])
  expect(await phone.stored('aside')).toMatchObject([{ id: let_go?.id, status: 'rejected', code: 'bad' }])
  expect(server.state.devices.size).toBe(1)
  await add('later')
  await phone.sync()
  expect(serverNames()).toEqual(['kept', 'later'])
})

test('a discarded command can be restored after the phone became a new device', async () => {
  await add('BAD')
  await add('two')
  await phone.sync()
  const [let_go] = await phone.stored('outbox')
  await dismissEntry(let_go?.id ?? '')
  await phone.shop.db.run('readwrite', ['kept'], (tx) => tx.objectStore('kept').clear())
  server.state.devices.clear()
  server.state.commands.clear()
  await add('three')
  await phone.sync()
  expect(syncSummary.value).toMatchObject({ forked: true })
  expect(await phone.stored('aside')).toMatchObject([{ id: let_go?.id, status: 'rejected', code: 'bad' }])
})

test('a resent command carries its earlier outcome', async () => {
  const said = { after: 'the command before', number: 'J-1003', seal: '5ea1' }
  server.says = said
  await phone.sync()
  const backup = server.backup()
  await add('lost')
  await phone.sync()
  server.restore(backup)
  await phone.sync()
  const none = { code: null, words: null, fields: [] }
  expect(server.earlier).toEqual([undefined, { status: 'applied', ...none, ...said }])
})

test('a device unknown to a restored server registers again', async () => {
  const empty = server.backup()
  await add('one')
  await phone.sync()
  server.restore(empty)
  await add('two')
  await phone.sync()
  expectSettled(phone, server)
  expect(serverNames()).toEqual(['one', 'two'])
})

test('commands that a backup holds are deleted', async () => {
  await add('one')
  await add('two')
  await phone.sync()
  server.state.safe_no = 1
  server.put('customer', customerRow('news'))
  await phone.sync()
  expect((await phone.stored('kept')).map(({ no }) => no)).toEqual([2])
})

test('a copied phone continues as a new device, and nothing is lost or executed twice', async () => {
  await add('shared past')
  await phone.sync()
  const device = server.state.devices.get(phone.shop.deviceStatus.value.device.id)
  if (device) device.next_no += 1
  await add('mine one')
  await add('mine two')
  await phone.sync()
  expectSettled(phone, server)
  expect(serverNames()).toEqual(['mine one', 'mine two', 'shared past'])
  expect(server.state.devices.size).toBe(2)
  expect(syncSummary.value).toMatchObject({ forked: true, letter: 'B' })
  await add('later')
  await phone.sync()
  expectSettled(phone, server)
})

test('a fork after a lost answer does not send again what the server has', async () => {
  await phone.sync()
  await add('arrived')
  server.faults = [null, 'lose']
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  await add('not yet')
  const device = server.state.devices.get(phone.shop.deviceStatus.value.device.id)
  if (device) device.next_no += 1
  await phone.sync()
  expectSettled(phone, server)
  expect(serverNames()).toEqual(['arrived', 'not yet'])
  expect([...server.carried.values()]).toEqual([1, 1])
})

test('a gap is closed with the commands that the server has lost', async () => {
  await add('one')
  await add('two')
  await phone.sync()
  const device = server.state.devices.get(phone.shop.deviceStatus.value.device.id)
  if (device) device.next_no = 2
  for (const [id, { digest }] of server.state.commands)
    if (digest.includes('"two"')) server.state.commands.delete(id)
  await add('three')
  await phone.sync()
  expectSettled(phone, server)
  expect(serverNames()).toEqual(['one', 'three', 'two'])
  expect(syncSummary.value.forked).toBe(false)
})

test('without a sign-in the round stops, and continues after signing in', async () => {
  await phone.sync()
  await add('waits')
  phone.remote = server.for(null)
  await expect(phone.sync()).rejects.toMatchObject({ because: 'signed_out' })
  phone.remote = server.for(phone.shop.who.member_id)
  server.faults = [null, 'signed_out']
  await expect(phone.sync()).rejects.toMatchObject({ because: 'signed_out' })
  expect(names()).toEqual(['waits'])
  await phone.sync()
  expectSettled(phone, server)
})

test("another member's sign-in never sends this member's commands", async () => {
  await add('mine')
  phone.remote = server.for('somebody else')
  await expect(phone.sync()).rejects.toMatchObject({ because: 'other_member' })
  expect(server.calls).toEqual(['session'])
})

test('a signed-off device deletes the rows, uploads its queue and fetches nothing', async () => {
  await add('known')
  await phone.sync()
  const unsent = Array.from({ length: 120 }, (_, at) => `unsent ${at}`)
  for (const name of unsent) await add(name)
  const device = server.state.devices.get(phone.shop.deviceStatus.value.device.id)
  if (device) device.retired = true
  server.calls.length = 0
  await expect(phone.sync()).rejects.toMatchObject({ because: 'retired' })
  await phone.quiet()
  expect(names()).toEqual([])
  expect(phone.outbox.filter(isUnsent)).toEqual([])
  expect(new Set(phone.outbox.map(({ status, code }) => `${status} ${code}`))).toEqual(
    new Set(['held device_retired']),
  )
  expect(phone.outbox).toHaveLength(unsent.length)
  expect(server.calls).toEqual(['session', 'push', 'push', 'pull'])
  expect(serverNames()).toEqual(['known'])
  server.calls.length = 0
  await expect(phone.sync()).rejects.toMatchObject({ because: 'retired' })
  expect(server.calls).toEqual([])
})

test('a device signed off with unsent work uploads it at the next signal', async () => {
  await add('known')
  await phone.sync()
  const device = server.state.devices.get(phone.shop.deviceStatus.value.device.id)
  if (device) device.retired = true
  await expect(phone.sync()).rejects.toMatchObject({ because: 'retired' })
  await add('written without a signal')
  server.faults = ['drop']
  await expect(phone.sync()).rejects.toThrow(NoSignal)
  expect(phone.outbox.filter(isUnsent)).toHaveLength(1)
  server.calls.length = 0
  await expect(phone.sync()).rejects.toMatchObject({ because: 'retired' })
  expect(server.calls).toEqual(['session', 'push'])
  expect(phone.outbox.filter(isUnsent)).toEqual([])
})

test('an app too old for rows reports it after its commands are sent', async () => {
  await phone.sync()
  await add('old but true')
  server.faults = [null, null, 'too_old']
  await expect(phone.sync()).rejects.toMatchObject({ because: 'upgrade' })
  expect(serverNames()).toEqual(['old but true'])
})

test('repeated resync requests end the round until later', async () => {
  await phone.sync()
  const pull = phone.remote.pull
  phone.remote = { ...phone.remote, pull: async () => ({ resync: 'horizon' }) }
  await expect(phone.sync()).rejects.toThrow(/again and again/)
  phone.remote = { ...phone.remote, pull }
  await phone.sync()
  expectSettled(phone, server)
})

test('rows deleted at sign-out do not return with a page under way', async () => {
  server.put('customer', customerRow('private'))
  await phone.sync()
  const { cursor } = await phone.local.read()
  await phone.shop.clearShop()
  await phone.local.savePage(
    { rows: { customer: [customerRow('late')] }, gone: [], acks: {}, cursor: 'c', more: false, safe_no: 0 },
    cursor ?? '',
  )
  const rows = await phone.shop.db.run('readonly', ['base'], (tx) => tx.objectStore('base').count())
  expect(rows).toBe(0)
})

test.each([
  ['permission_denied', { status: 403, code: 'permission_denied' }],
  ['forbidden', { because: 'retired' }],
])('a refusal with %s is passed on, unless the session may only upload', async (code, seen) => {
  phone.remote = {
    ...phone.remote,
    register: async () => {
      throw new Problem(403, { code }, null)
    },
  }
  await expect(phone.sync()).rejects.toMatchObject(seen)
})
