// @vitest-environment happy-dom
import { act } from 'preact/test-utils'
import { expect, test, vi } from 'vitest'
import type { Customer, Job as JobRow, Machine, PriceBook, Shop } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { basis } from '../../../store/fakes/book'
import type { Phone } from '../../../store/fakes/phone'
import type { FakeServer } from '../../../store/fakes/server'
import { openJobs } from '../../../store/jobs'
import { born, button, press as pressElement, root, showScreen } from '../../fakes/screen'
import { currentRoute } from '../../router'
import { NewJob } from './NewJob'
import { waysTo } from './Ticket'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set(['drive_runs'])), session: signal({ tiles: null }) }
})

const known = {
  ...DEFAULTS.customer,
  ...born(),
  id: 'customer',
  name: 'Wil Marsh',
  phone: '208 555 0100',
} as Customer

function putRows(server: FakeServer) {
  server.put('shop', {
    ...born(),
    id: 'shop',
    zone: 'UTC',
    locale: 'en-US',
    currency: 'USD',
    units: 'us',
  } as Shop)
  server.put('customer', known)
  const prices = { ...basis, diagnosis_fee_minor: 6500, storage: { free_days: 30, per_day_minor: 300 } }
  server.put('price_book', { ...born(), id: 'shop', prices, confirmed: [] } as unknown as PriceBook)
  server.put('machine', {
    ...DEFAULTS.machine,
    ...born(),
    id: 'machine',
    customer_id: 'customer',
    kind: 'mower',
  } as Machine)
}

const opened = (customerId?: string) =>
  showScreen(putRows, () => <NewJob {...(customerId && { customerId })} />)

const labelled = (label: string) => {
  const found = [...root.querySelectorAll('label')].find(({ textContent }) => textContent?.startsWith(label))
  if (!found) throw new Error(`no ${label}`)
  return found
}

async function fill(label: string, value: string) {
  const field = root.querySelector<HTMLInputElement>(`#${CSS.escape(labelled(label).htmlFor)}`)
  await act(async () => {
    if (!field) throw new Error(`no field ${label}`)
    field.value = value
    field.dispatchEvent(new InputEvent('input', { bubbles: true }))
  })
}

const choose = (label: string) => act(async () => labelled(label).querySelector('input')?.click())

const press = (label: string) => pressElement(button(label))

const commands = (at: Phone) => at.outbox.map(({ name }) => name)

test('the plain case asks six fields and how the machine gets here', async () => {
  const at = await opened()
  await fill('Customer’s name or phone', 'Otis Quill')
  const first = [...root.querySelectorAll('form input, form textarea')].filter(
    (field) => !field.closest('details') && field.getAttribute('type') !== 'radio',
  )
  expect(first).toHaveLength(6)
  await fill('Type of machine', 'Mower')
  await fill('In the customer’s words', 'Will not start')
  await press('Open the job')
  await vi.waitFor(() =>
    expect(commands(at)).toEqual(['add_customer', 'add_machine', 'open_job', 'add_complaint']),
  )
  expect(at.outbox[2]?.args).toMatchObject({ urgency: 'usual', promised_on: null, arrives_by: 'drop_off' })
  await vi.waitFor(() => expect(currentRoute.value.at).toBe('job'))
})

test('what is under More is saved where it belongs, in one transaction', async () => {
  const at = await opened('customer')
  await press('mower')
  await fill('In the customer’s words', 'Smokes')
  await choose('Down, losing money')
  await fill('Hour meter now', '412.5')
  await fill('Second phone', '208 555 0101')
  await choose('Text')
  await choose('Diagnosis fee')
  await choose('Storage')
  await press('Open the job')
  await vi.waitFor(() =>
    expect(commands(at)).toEqual([
      'edit_customer',
      'open_job',
      'add_complaint',
      'record_meter',
      'record_intake_terms',
    ]),
  )
  const [customer, job, , meter, terms] = at.outbox.map(({ args }) => args)
  expect(customer).toEqual({
    id: 'customer',
    base: { second_phone: '', contact_by: '' },
    set: { second_phone: '208 555 0101', contact_by: 'text' },
  })
  expect(job).toMatchObject({ urgency: 'down', promised_on: null })
  expect(meter).toMatchObject({ machine_id: 'machine', hours: '412.5' })
  expect(terms).toMatchObject({
    accepted_by_name: 'Wil Marsh',
    diagnosis_fee_minor: 6500,
    storage_free_days: 30,
    storage_per_day_minor: 300,
  })
})

test('a pickup asks for the stop next', async () => {
  const at = await opened('customer')
  await press('mower')
  await fill('In the customer’s words', 'Smokes')
  await choose('We pick it up')
  await press('Open the job')
  await vi.waitFor(() => expect(currentRoute.value).toMatchObject({ at: 'job-stop', kind: 'pickup' }))
  expect(at.outbox.find(({ name }) => name === 'open_job')?.args).toMatchObject({ arrives_by: 'pickup' })
})

test('a job by a date needs the date, and More opens to show it', async () => {
  const at = await opened('customer')
  await press('mower')
  await fill('In the customer’s words', 'Smokes')
  await choose('By a date')
  await press('Open the job')
  expect(root.textContent).toContain('Enter the date it’s needed by')
  expect(root.querySelector('details.more')?.hasAttribute('open')).toBe(true)
  expect(at.outbox).toEqual([])
})

test('jobs that lose money come first, then those by date', async () => {
  const jobs = [
    ['plain', 'usual', null],
    ['dated', 'usual', '2026-05-01'],
    ['down', 'down', null],
  ] as const
  await showScreen(
    (server) => {
      for (const [id, urgency, promised_on] of jobs)
        server.put('job', {
          ...born(),
          id,
          urgency,
          promised_on,
          stage: 'intake',
          waits_on: [],
        } as unknown as JobRow)
    },
    () => null,
  )
  expect(openJobs.value.map(({ id }) => id)).toEqual(['down', 'dated', 'plain'])
})

test('the ticket goes first the way that the customer wants', () => {
  const both = { ...known, email: 'wil@marsh.example' }
  expect(waysTo(both).map(({ channel }) => channel)).toEqual(['sms', 'email'])
  expect(waysTo({ ...both, contact_by: 'email' }).map(({ channel }) => channel)).toEqual(['email', 'sms'])
  expect(waysTo({ ...both, phone: '' }).map(({ channel }) => channel)).toEqual(['email'])
  expect(waysTo({ ...both, phone: '', email: '' })).toEqual([])
})

test('a machine that was here before is a comeback in one tap', async () => {
  const at = await showScreen(
    (server) => {
      putRows(server)
      const done = { ...DEFAULTS.job, ...born(), opened_at: born().created_at, stage: 'returned' }
      server.put('job', {
        ...done,
        id: 'first',
        number: 'J-1001',
        customer_id: 'customer',
        machine_id: 'machine',
      } as JobRow)
    },
    () => <NewJob customerId="customer" />,
  )
  await press('mower')
  await choose('Comeback of job J-1001')
  await fill('In the customer’s words', 'Smokes again')
  await press('Open the job')
  await vi.waitFor(() => expect(commands(at)).toContain('open_job'))
  expect(at.outbox.find(({ name }) => name === 'open_job')?.args).toMatchObject({ comeback_of_id: 'first' })
})
