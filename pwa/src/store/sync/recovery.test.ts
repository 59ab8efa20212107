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
  'told to fetch anew (%s), the phone keeps its outbox and ends like the server',
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
  expectSettled(phone, server)
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
  expectSettled(phone, server)
  expect(serverNames()).toEqual(['in the backup', 'lost'])
})

test('what was refused and let go stays gone when the server comes back from a backup', async () => {
  const backup = server.backup()
  await add('kept')
  await add('BAD')
  await add('BAD')
  await phone.sync()
  const [let_go, refused] = await phone.stored('outbox')
  await dismissEntry(let_go?.id ?? '')
  server.restore(backup)
  // The server of the backup would have nothing against it.
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

test('what was let go can still be brought back after the phone went on as a new device', async () => {
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

test('what comes back is sent with what the server had said of it', async () => {
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

test('a server restored to before it knew the device is told of the device again', async () => {
  const empty = server.backup()
  await add('one')
  await phone.sync()
  server.restore(empty)
  await add('two')
  await phone.sync()
  expectSettled(phone, server)
  expect(serverNames()).toEqual(['one', 'two'])
})

test('commands that a backup of the server holds are not kept any longer', async () => {
  await add('one')
  await add('two')
  await phone.sync()
  server.state.safe_no = 1
  server.put('customer', customerRow('news'))
  await phone.sync()
  expect((await phone.stored('kept')).map(({ no }) => no)).toEqual([2])
})

test('a phone copied from another goes on as a new device, and nothing is lost or done twice', async () => {
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

test('a gap is closed with the commands that the server has forgotten', async () => {
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
  expectSettled(phone, server)
})

test("another member's sign-in never sends this member's commands", async () => {
  await add('mine')
  phone.remote = server.for('somebody else')
  await expect(phone.sync()).rejects.toMatchObject({ because: 'other_member' })
  expect(server.calls).toEqual(['session'])
})

test('a signed-off device gives up the rows, hands in all that was not sent and fetches nothing', async () => {
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

test('a device that learned of it with things unsent hands them in at the next signal', async () => {
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
  expectSettled(phone, server)
})

test('rows wiped at signing out do not come back with a page that was on its way', async () => {
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
])('a refusal with %s is passed on as it is, unless nothing is left to the session', async (code, seen) => {
  phone.remote = {
    ...phone.remote,
    register: async () => {
      throw new Problem(403, { code }, null)
    },
  }
  await expect(phone.sync()).rejects.toMatchObject(seen)
})
