import { afterEach, beforeEach, expect, test } from 'vitest'
import type {
  BillingSettings,
  Invoice,
  InvoiceLine,
  Job,
  MeterReading,
  PartNeed,
  TimeEntry,
} from '../domain/contract'
import { DEFAULTS } from '../domain/contractDefaults'
import { comebacksOf, costOfComeback, doneJobs, jobsBehind, setComeback } from './comebacks'
import { Phone } from './fakes/phone'
import { FakeServer } from './fakes/server'
import { job } from './jobs'
import { shopSession } from './session/shopSession'
import { warrantyLines } from './warranty'

const DAY = (day: number) => `2026-05-${String(day).padStart(2, '0')}T12:00:00.000Z`
const born = (day: number) => ({ created_at: DAY(day), changed_at: DAY(day) })
let phone: Phone

beforeEach(async () => {
  const server = new FakeServer()
  const made = (id: string, day: number, more: Partial<Job> = {}) =>
    server.put('job', {
      ...DEFAULTS.job,
      ...born(day),
      opened_at: DAY(day),
      id,
      number: `J-${id}`,
      customer_id: 'customer',
      machine_id: 'machine',
      ...more,
    } as Job)
  made('first', 1, { stage: 'closed' })
  made('cancelled', 2, { stage: 'cancelled' })
  made('second', 3, { comeback_of_id: 'first' })
  made('third', 4)
  made('elsewhere', 1, { stage: 'closed', machine_id: 'another' })
  const invoice = {
    ...DEFAULTS.invoice,
    ...born(1),
    customer_id: 'customer',
    job_id: 'first',
    state: 'issued',
    issued_on: '2026-05-01',
  }
  server.put('invoice', { ...invoice, id: 'invoice', kind: 'invoice' } as Invoice)
  server.put('invoice', {
    ...invoice,
    id: 'note',
    kind: 'credit_note',
    credited_id: 'invoice',
  } as Invoice)
  const line = (id: string, position: number, more: Partial<InvoiceLine>) =>
    server.put('invoice_line', {
      ...DEFAULTS.invoice_line,
      ...born(1),
      id,
      position,
      invoice_id: 'invoice',
      kind: 'labor',
      words: id,
      ...more,
    } as InvoiceLine)
  line('by days', 0, { warranty_days: 90 })
  line('by hours', 1, { warranty_hours: '50' })
  line('credited', 2, { warranty_days: 90 })
  line('credited on the note', 2, { warranty_days: 90, invoice_id: 'note' })
  line('stated none', 3, {})
  line('over', 4, { warranty_days: 2 })
  const meter = { ...DEFAULTS.meter_reading, machine_id: 'machine', segment: 1 }
  server.put('meter_reading', {
    ...meter,
    ...born(1),
    id: 'm1',
    hours: '200',
    read_on: '2026-05-01',
  } as MeterReading)
  const entry = { ...DEFAULTS.time_entry, ...born(3), job_id: 'second', member_id: 'me', line_id: null }
  const from = { started_at: DAY(3), ended_at: DAY(3).replace('T12', 'T13') }
  server.put('time_entry', { ...entry, ...from, id: 't1', kind: 'rework', state: 'closed' } as TimeEntry)
  server.put('time_entry', { ...entry, ...from, id: 't2', ended_at: null, state: 'open' } as TimeEntry)
  const need = { ...DEFAULTS.part_need, ...born(3), job_id: 'second', quantity: '1.5', state: 'fitted' }
  server.put('part_need', { ...need, id: 'n1', cost_minor: 333 } as PartNeed)
  server.put('part_need', { ...need, id: 'n2', cost_minor: null } as PartNeed)
  server.put('billing_settings', {
    ...DEFAULTS.billing_settings,
    ...born(1),
    id: 'shop',
    hour_cost_minor: 4000,
  } as BillingSettings)
  phone = await Phone.open(server, { shop_id: 'shop', member_id: 'me' })
  await phone.sync()
  shopSession.value = phone.shop
})

afterEach(async () => {
  shopSession.value = null
  await phone.close()
})

const ids = (rows: readonly { id: string }[]) => rows.map(({ id }) => id)
const known = (id: string) => job(id) as Job

test('finished jobs of the machine are offered, none that was opened later', () => {
  expect(ids(doneJobs('machine'))).toEqual(['first'])
  expect(ids(doneJobs('machine', known('third')))).toEqual(['first'])
  expect(ids(doneJobs('machine', known('first')))).toEqual([])
})

test('a comeback of a comeback leads to the first job, which lists both', async () => {
  await setComeback(known('third'), 'second')
  expect(ids(jobsBehind(known('third')))).toEqual(['second', 'first'])
  expect(ids(comebacksOf('first'))).toEqual(['second', 'third'])
  expect(phone.outbox.at(-1)).toMatchObject({
    name: 'edit_job',
    args: { id: 'third', base: { comeback_of_id: null }, set: { comeback_of_id: 'second' } },
  })
  await setComeback(known('third'), null)
  expect(ids(comebacksOf('first'))).toEqual(['second'])
})

test('ended hours and fitted parts cost, what has no known cost is counted', () => {
  // 1 h at 40.00 and 1.5 parts at 3.33, a half cent rounded up: 40.00 and 5.00 (worked by hand).
  expect(costOfComeback(known('second'))).toMatchObject({
    seconds: 3600,
    labor: 4000,
    parts_minor: 500,
    unbilled: 4500,
    unknownCosts: 1,
  })
})

test('lines that were credited, are over or state none are not under warranty', () => {
  const found = warrantyLines('machine', '2026-05-20')
  expect(found.map(({ line, standing }) => [line.id, standing])).toEqual([
    ['by days', { state: 'covered', through: '2026-07-30', through_hours: null }],
    ['by hours', { state: 'cannot_say', through: null, through_hours: '250' }],
  ])
  expect(warrantyLines('another', '2026-05-20')).toEqual([])
})
