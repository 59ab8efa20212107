// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import type { Customer, Job, Member, PriceBook, Shop, Yard } from '../../../domain/contract'
import { newId } from '../../../store/browser/clock'
import { basis } from '../../../store/fakes/book'
import { Phone } from '../../../store/fakes/phone'
import { customerRow } from '../../../store/fakes/rows'
import { FakeServer } from '../../../store/fakes/server'
import { shopSession } from '../../../store/session/shopSession'
import { SetUpList, SetUpToday } from './SetUpList'

vi.mock('../../install', () => ({ isInstalled: () => false }))

const born = { created_at: '2026-04-01T08:00:00.000Z', changed_at: '2026-04-01T08:00:00.000Z' }
const root = document.createElement('div')
document.body.append(root)
let phone: Phone
let server: FakeServer

const of = { name: 'Weir', zone: 'America/Boise', locale: 'en-US', currency: 'USD', week_start: 'monday' }
const shop = (more: Partial<Shop> = {}) =>
  ({ ...born, id: 'shop', ...of, address: '', skipped_steps: [], ...more }) as Shop
const book = (confirmed: PriceBook['confirmed']) =>
  ({ ...born, id: 'shop', prices: basis, confirmed }) as unknown as PriceBook
const member = (id: string) => ({ ...born, id, name: id, role: 'owner', active: true }) as Member

beforeEach(async () => {
  server = new FakeServer()
  server.put('shop', shop())
  server.put('price_book', book([]))
  server.put('member', member('ada'))
  phone = await Phone.open(server, { shop_id: newId(), member_id: newId() })
  await phone.sync()
  shopSession.value = phone.shop
})

afterEach(async () => {
  await act(() => render(null, root))
  shopSession.value = null
  await phone.close()
})

const next = () => root.querySelector('.primary-button b')?.textContent
const rows = () => [...root.querySelectorAll('.list-item')].map(({ textContent }) => textContent)

test('a new shop is led to what is missing, each step on its screen', async () => {
  await act(() => render(<SetUpToday />, root))
  expect(root.textContent).toContain('0 of 9 done')
  expect(next()).toBe('Name and address')
  expect([...root.querySelectorAll('a')].map((link) => link.getAttribute('href'))).toEqual([
    '/shop',
    '/prices?of=labor_rates&from=%2F',
    '/prices?of=tax_profiles&from=%2F',
    '/prices?of=terms&from=%2F',
    '/prices?of=part_bands&from=%2F',
    '/yard',
    '/members',
    '/import',
    '/settings',
  ])
})

test('what is done is seen in the data and stands last', async () => {
  server.put('shop', shop({ address: '4 Mill Road' }))
  server.put('price_book', book(['labor_rates', 'terms']))
  server.put('member', member('bram'))
  server.put('yard', { ...born, id: 'yard', lat: '43.6', lon: '-116.2' } as Yard)
  server.put('customer', customerRow('Winnie') as Customer)
  await phone.sync()
  await act(() => render(<SetUpToday />, root))
  expect(root.textContent).toContain('6 of 9 done')
  expect(next()).toBe('Tax')
  expect(rows()).toEqual([
    'Markup on partsWhat is added to the cost of a part',
    'Put it on this phoneSo that it opens without signal',
    'Name and addressDone',
    'Labor ratesDone',
    'Terms and depositDone',
    'Yard and its positionDone',
    'PeopleDone',
    'Bring in your address bookDone',
  ])
})

test('a skipped step leaves Today for good and stays in the list of all', async () => {
  await act(() => render(<SetUpToday />, root))
  await act(async () => root.querySelector<HTMLButtonElement>('button.button')?.click())
  await vi.waitFor(() => expect(next()).toBe('Labor rates'))
  expect(rows()).not.toContain('Name and addressOn quotes and messages')
  expect(phone.outbox[0]).toMatchObject({
    name: 'edit_shop',
    args: { base: { skipped_steps: [] }, set: { skipped_steps: ['address'] } },
  })
  await act(() => render(<SetUpList withSkipped />, root))
  expect(rows()).toContain('Name and addressSkippedOn quotes and messages')
})

test('once there is a job Today keeps one line, and none when nothing is left', async () => {
  const job = { ...born, id: 'j', customer_id: 'c', machine_id: 'm', stage: 'intake', waits_on: [] }
  server.put('job', job as unknown as Job)
  await phone.sync()
  await act(() => render(<SetUpToday />, root))
  expect(rows()).toEqual(['Set up your shop9 left'])
  const steps = [
    'address',
    'labor_rates',
    'tax_profiles',
    'terms',
    'part_bands',
    'yard',
    'people',
    'customers',
  ] as const
  server.put('shop', shop({ skipped_steps: [...steps, 'install'] }))
  await act(() => phone.sync())
  expect(root.textContent).toBe('')
})
