// @vitest-environment happy-dom
/** A phone that comes from version 0.2.0, where the prices were a field of the shop. */
import { openDB } from 'idb'
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { PRICE_PARTS, type PriceBook, type Shop } from '../../../domain/contract'
import { newId } from '../../../store/browser/clock'
import { freshDevice } from '../../../store/database/meta'
import { databaseName } from '../../../store/database/shopDatabase'
import { basis } from '../../../store/fakes/book'
import { Phone } from '../../../store/fakes/phone'
import { FakeServer } from '../../../store/fakes/server'
import { priceBook, unconfirmedPrices } from '../../../store/priceBook'
import { enqueue } from '../../../store/queue/outbox'
import { retryRejected } from '../../../store/queue/queue'
import { shopSession } from '../../../store/session/shopSession'
import { currentBasis } from '../../features/quotes/quoteCalculation'
import { currentRoute } from '../../router'
import { Prices } from './Prices'

vi.mock('../../../store/session/session', async (original) => {
  const { signal } = await import('@preact/signals')
  return { ...(await original<object>()), permissions: signal(new Set(['edit_shop'])) }
})

const born = { created_at: '2026-04-01T08:00:00.000Z', changed_at: '2026-04-01T08:00:00.000Z' }
const of = { name: 'Shop', zone: 'America/Boise', week_start: 'monday', locale: 'en-US', currency: 'USD' }
const shop = { ...born, ...of, id: 'shop', book: basis } as unknown as Shop

const root = document.createElement('div')
document.body.append(root)
let phone: Phone
let who: { shop_id: string; member_id: string }

beforeEach(() => {
  who = { shop_id: newId(), member_id: newId() }
})

afterEach(async () => {
  await act(() => render(null, root))
  shopSession.value = null
  await phone.close()
})

/** Makes the database as 0.2.0 left it. */
async function writeFormerDatabase(more: { drafts?: object[]; outbox?: object[] } = {}): Promise<void> {
  const db = await openDB(databaseName(who), 3, {
    upgrade(made) {
      made.createObjectStore('base', { keyPath: ['kind', 'id'] }).createIndex('generation', 'generation')
      for (const name of ['outbox', 'kept', 'aside']) made.createObjectStore(name, { keyPath: 'id' })
      made.createObjectStore('meta')
      made.createObjectStore('pictures', { keyPath: ['id', 'size'] }).createIndex('age', ['used_at', 'bytes'])
      made.createObjectStore('sending', { keyPath: 'id' })
      made.createObjectStore('drafts', { keyPath: 'name' })
    },
  })
  await db.put('base', { kind: 'shop', id: 'shop', generation: 4, row: shop })
  await db.put('base', {
    kind: 'customer',
    id: 'c',
    generation: 4,
    row: { ...born, id: 'c', name: 'Winnie' },
  })
  await db.put('meta', freshDevice(), 'device')
  await db.put('meta', 'c4', 'cursor')
  for (const draft of more.drafts ?? []) await db.put('drafts', draft)
  for (const entry of more.outbox ?? []) await db.put('outbox', entry)
  db.close()
}

async function openPhone(): Promise<void> {
  phone = await Phone.open(new FakeServer(), who)
  await phone.shop.readAll()
  shopSession.value = phone.shop
}

const input = (value: string) => [...root.querySelectorAll('input')].find((one) => one.value === value)

test('the stored prices are a row of their own, from which quotes are made with no signal', async () => {
  await writeFormerDatabase()
  await openPhone()
  expect(priceBook.value).toEqual({ ...born, id: 'shop', prices: basis, confirmed: PRICE_PARTS })
  expect(currentBasis()?.labor_rates).toEqual(basis.labor_rates)
  const stored = await phone.shop.db.run('readonly', ['base'], (tx) => tx.objectStore('base').getAll())
  expect(stored.map(({ kind, id, generation }) => [kind, id, generation])).toEqual([
    ['customer', 'c', 4],
    ['price_book', 'shop', 4],
    ['shop', 'shop', 4],
  ])
  expect(stored.filter(({ row }) => 'book' in row)).toEqual([])
  const cursor = await phone.shop.db.run('readonly', ['meta'], (tx) => tx.objectStore('meta').get('cursor'))
  // The server did not change rows one by one: all are fetched again.
  expect(cursor).toBeUndefined()
})

test('a half-filled form of the prices goes on and is saved as an edit of the price book', async () => {
  const typed = { 'labor_rates.0.minor_per_hour': '120.00' }
  const book = { ...basis, credit_diagnosis: false }
  const draft = { name: 'prices:shop', fields: { book, typed }, seen: shop, path: '/prices' }
  await writeFormerDatabase({ drafts: [{ ...draft, title: 'Prices', over: 'Shop', typed_at: 1 }] })
  await openPhone()
  await act(() => render(<Prices />, root))
  expect(input('120.00')).toBeDefined()
  await act(async () => {
    root.querySelector('form')?.dispatchEvent(new Event('submit', { bubbles: true, cancelable: true }))
  })
  await vi.waitFor(() => expect(phone.outbox).toHaveLength(1))
  const [rate] = basis.labor_rates
  expect(phone.outbox[0]).toMatchObject({
    name: 'edit_price_book',
    v: 1,
    args: {
      id: 'shop',
      base: { prices: basis },
      set: { prices: { ...book, labor_rates: [{ ...rate, minor_per_hour: 12_000 }] } },
    },
  })
  expect(priceBook.value?.prices).toMatchObject({ credit_diagnosis: false })
  expect(phone.shop.drafts.value.size).toBe(0)
})

/** An edit of the shop as 0.2.0 saved it, with its prices among the fields. */
const formerEdit = (status: 'waiting' | 'rejected') => ({
  ...{ id: newId(), no: 1, device_id: 'd', name: 'edit_shop', v: 1, made_words: '', status, tries: 0 },
  args: { id: 'shop', base: {}, set: { book: { ...basis, terms: 'At pickup.' }, phone: '5' } },
  ...{ wall: born.created_at, mono_ms: 1, session: 's', code: null, words: null, fields: [] },
})

test('an edit of the shop that 0.2.0 has not sent shows its prices', async () => {
  await writeFormerDatabase({ outbox: [formerEdit('waiting')] })
  await openPhone()
  expect(priceBook.value?.prices.terms).toBe('At pickup.')
  expect(phone.shop.view.get('shop', 'shop')).toMatchObject({ phone: '5' })
})

test('an edit of 0.2.0 that is sent again says so still, and one made now does not', async () => {
  const refused = formerEdit('rejected')
  await writeFormerDatabase({ outbox: [refused] })
  await openPhone()
  await retryRejected(refused.id)
  await enqueue('edit_shop', { id: 'shop', base: { name: 'Shop' }, set: { name: 'Bench' } })
  expect((await phone.stored('outbox')).map(({ name, v }) => [name, v])).toEqual([
    ['edit_shop', 1],
    ['edit_shop', 3],
  ])
})

test('prices that a quote waits for are confirmed as they are, and lead back to it', async () => {
  const server = new FakeServer()
  server.put('shop', shop)
  server.put('price_book', {
    ...born,
    id: 'shop',
    prices: basis,
    confirmed: ['terms'],
  } as unknown as PriceBook)
  phone = await Phone.open(server, who)
  await phone.sync()
  shopSession.value = phone.shop
  expect(unconfirmedPrices.value).toEqual(['labor_rates', 'part_bands', 'tax_profiles'])
  await act(() => render(<Prices of="labor_rates,tax_profiles" from="/quotes/q/offer" />, root))
  expect(root.querySelector('h1')?.textContent).toBe('Check your prices')
  expect([...root.querySelectorAll('h2')].map(({ textContent }) => textContent)).toEqual([
    'Labor',
    'Tax: No tax',
    'Example bill',
  ])
  await act(async () => {
    root.querySelector('form')?.dispatchEvent(new Event('submit', { bubbles: true, cancelable: true }))
  })
  await vi.waitFor(() => expect(phone.outbox).toHaveLength(1))
  expect(phone.outbox[0]).toMatchObject({
    name: 'edit_price_book',
    args: { set: { confirmed: ['labor_rates', 'tax_profiles', 'terms'] } },
  })
  await vi.waitFor(() => expect(currentRoute.value).toEqual({ at: 'quote-offer', id: 'q' }))
  expect(unconfirmedPrices.value).toEqual(['part_bands'])
})
