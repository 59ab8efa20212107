import { deleteDB } from 'idb'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { addCustomer, customers } from '../customers'
import { ShopDatabase } from '../database/shopDatabase'
import { saveTrouble } from '../database/storageStatus'
import { Phone } from '../fakes/phone'
import { FakeServer } from '../fakes/server'
import { saveIntake } from '../intake'
import { openJobs } from '../jobs'
import { appendCommands, enqueue, type NewCommand } from './outbox'

let phone: Phone

beforeEach(async () => {
  phone = await Phone.open(new FakeServer())
})

afterEach(() => phone.close())

const draft = (name: string): NewCommand => ({
  name: 'add_customer',
  args: { id: crypto.randomUUID(), name },
  made_words: name,
})

test('two tabs that save 1,000 commands each at once assign each number once and without a gap', async () => {
  const tabs = [phone.shop.db, new ShopDatabase(phone.shop.db.name)]
  const saves = tabs.flatMap((db, tab) =>
    Array.from({ length: 1000 }, (_, at) => appendCommands(db, [draft(`${tab} ${at}`)])),
  )
  await Promise.all(saves)
  const entries = await phone.stored('outbox')
  expect(entries.map(({ no }) => no)).toEqual(Array.from({ length: 2000 }, (_, at) => at + 1))
  expect(new Set(entries.map(({ id }) => id)).size).toBe(2000)
  await tabs[1]?.close()
}, 60_000)

test('commands saved together have consecutive numbers, whatever another tab does', async () => {
  const other = new ShopDatabase(phone.shop.db.name)
  const [ours] = await Promise.all([
    appendCommands(phone.shop.db, [draft('one'), draft('two'), draft('three')]),
    appendCommands(other, [draft('elsewhere')]),
  ])
  const first = ours[0]?.no ?? 0
  expect(ours.map(({ no }) => no)).toEqual([first, first + 1, first + 2])
  await other.close()
})

test('a saved command is in the storage that a new start of the app reads', async () => {
  await phone.does(() => addCustomer({ name: 'Ada Quill', phone: '208 555 0101' }))
  const restarted = new ShopDatabase(phone.shop.db.name)
  const entries = await restarted.run('readonly', ['outbox'], (tx) => tx.objectStore('outbox').getAll())
  expect(entries).toMatchObject([
    { no: 1, name: 'add_customer', v: 1, status: 'waiting', made_words: 'Ada Quill', tries: 0 },
  ])
  await restarted.close()
})

test('a failed save is reported, shows nothing and uses no number', async () => {
  const unsavable = { id: crypto.randomUUID(), name: (() => undefined) as unknown as string }
  await expect(phone.does(() => enqueue('add_customer', unsavable))).rejects.toThrow()
  expect(saveTrouble.value).toBe('unsaved')
  expect(phone.shop.view.all('customer')).toEqual([])
  await phone.does(() => addCustomer({ name: 'Ada Quill' }))
  expect(saveTrouble.value).toBeNull()
  expect((await phone.stored('outbox')).map(({ no }) => no)).toEqual([1])
})

test('a database handle closed by the browser is reopened', async () => {
  await phone.does(() => addCustomer({ name: 'before' }))
  const handle = await phone.shop.db['handle']
  handle?.close()
  await phone.does(() => addCustomer({ name: 'after' }))
  expect((await phone.stored('outbox')).map(({ made_words }) => made_words)).toEqual(['before', 'after'])
})

test('unsent commands survive an eviction of the storage while the app is open', async () => {
  await phone.does(() => addCustomer({ name: 'before' }))
  const former = phone.shop.deviceStatus.value.device.id
  await deleteDB(phone.shop.db.name)
  await phone.does(() => addCustomer({ name: 'after' }))
  const entries = await phone.stored('outbox')
  expect(entries.map(({ no, made_words }) => [no, made_words])).toEqual([
    [1, 'before'],
    [2, 'after'],
  ])
  expect(new Set(entries.map(({ device_id }) => device_id))).not.toContain(former)
  expect(customers.value.map(({ name }) => name)).toEqual(['after', 'before'])
  await phone.sync()
  expect(phone.outbox).toEqual([])
  expect(customers.value.map(({ name }) => name)).toEqual(['after', 'before'])
})

test('a job is saved with its customer, machine and complaint at once, and shown', async () => {
  const id = await phone.does(() =>
    saveIntake({
      customer: { name: 'Ada Quill' },
      machine: { kind: 'garden tractor', make: 'Fennwick', model: 'G14' },
      complaint: { words: 'Dies on the hill', happens_when: 'hot' },
    }),
  )
  const entries = await phone.stored('outbox')
  expect(entries.map(({ no, name }) => [no, name])).toEqual([
    [1, 'add_customer'],
    [2, 'add_machine'],
    [3, 'open_job'],
    [4, 'add_complaint'],
  ])
  const mark = phone.shop.view.get('job', id)?.mark ?? ''
  expect(mark).toMatch(/^Z[A-Z]{2}-1$/)
  expect(entries[2]?.made_words).toBe(`${mark} · Ada Quill · Fennwick G14`)
  expect(openJobs.value.map((job) => [job.id, job.stage])).toEqual([[id, 'intake']])
  expect(phone.shop.view.where('complaint', 'job_id', id).map(({ words }) => words)).toEqual([
    'Dies on the hill',
  ])
})

test('the machine’s site is saved with the job: a new one of the customer, then a known one', async () => {
  const customer = { name: 'Ada Quill' }
  const machine = { kind: 'garden tractor' }
  const place = { label: 'North field', lat: '40.3', lon: '-98.4' }
  const first = await phone.does(() => saveIntake({ customer, machine, site: place }))
  const { site_id, customer_id } = phone.shop.view.get('job', first) ?? {}
  const [site] = phone.shop.view.where('site', 'customer_id', customer_id ?? '')
  expect([site?.id, site?.label, site?.lat, site?.lon]).toEqual([site_id, 'North field', '40.3', '-98.4'])
  const known = { id: site_id ?? '' }
  const second = await phone.does(() =>
    saveIntake({ customer: { id: customer_id ?? '' }, machine, site: known }),
  )
  expect(phone.shop.view.get('job', second)?.site_id).toBe(site_id)
  expect(phone.shop.view.where('site', 'customer_id', customer_id ?? '')).toHaveLength(1)
})
