// @vitest-environment happy-dom
/** Quote and price screens with other currencies, shared discounts and ended tax profiles. */
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test, vi } from 'vitest'
import {
  type Customer,
  type Job,
  type Machine,
  PRICE_PARTS,
  type PriceBook,
  type Shop,
  type TaxProfileInput,
} from '../../../domain/contract'
import type { ShopPrices } from '../../../domain/quotes/book'
import { dayIn, daysAfter, moment } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { agreed } from '../../../store/agreed'
import { newId } from '../../../store/browser/clock'
import { basis } from '../../../store/fakes/book'
import { Phone } from '../../../store/fakes/phone'
import { FakeServer } from '../../../store/fakes/server'
import { priceBook } from '../../../store/priceBook'
import {
  approvalsOf,
  decideQuote,
  draftQuote,
  editQuote,
  offerQuote,
  putQuoteLine,
  quote,
  reviseQuote,
  withdrawQuote,
} from '../../../store/quotes'
import { shopSession } from '../../../store/session/shopSession'
import { JobQuotes } from '../../features/quotes/JobQuotes'
import { calculateAccepted, currentBasis } from '../../features/quotes/quoteCalculation'
import { customerMode } from '../../heldBy'
import { currentRoute } from '../../router'
import { Prices } from '../settings/Prices'
import { Offer } from './Offer'
import { Quote } from './Quote'

vi.mock('../../../store/session/session', async (original) => {
  const { signal } = await import('@preact/signals')
  return { ...(await original<object>()), permissions: signal(new Set(['edit_shop', 'quote', 'offer'])) }
})

const root = document.createElement('div')
document.body.append(root)
let phone: Phone | undefined

afterEach(async () => {
  await act(() => render(null, root))
  shopSession.value = null
  await phone?.close()
})

const show = (what: preact.ComponentChild) => act(() => render(what, root))
const button = (words: string) =>
  [...root.querySelectorAll<HTMLElement>('button, a')].find(({ textContent }) => textContent?.includes(words))

/** A shop with a job and the tests' price book, in its own currency. */
async function openShop(currency: string, minor_digits: number, more: Partial<ShopPrices> = {}) {
  const born = { created_at: '2026-04-01T08:00:00.000Z', changed_at: '2026-04-01T08:00:00.000Z' }
  const server = new FakeServer()
  const of = { zone: 'America/Boise', week_start: 'monday', locale: 'en-US', currency, name: 'Shop' }
  server.put('shop', { ...born, id: 'shop', ...of } as Shop)
  server.put('price_book', {
    ...born,
    id: 'shop',
    prices: { ...basis, currency, minor_digits, ...more },
    confirmed: PRICE_PARTS,
  } as PriceBook)
  server.put('customer', { ...born, id: 'customer', name: 'Winnie', tax_exempt: false } as Customer)
  server.put('machine', {
    ...born,
    id: 'machine',
    customer_id: 'customer',
    kind: 'tiller',
    make: '',
    model: '',
    serial: '',
  } as Machine)
  const ticket = {
    number: 'J-1',
    mark: '',
    customer_id: 'customer',
    machine_id: 'machine',
    waits_on: [],
    stage: 'intake',
  }
  server.put('job', { ...born, id: 'job', ...ticket } as unknown as Job)
  phone = await Phone.open(server, { shop_id: newId(), member_id: newId() })
  await phone.sync()
  shopSession.value = phone.shop
}

async function startQuote(from: ShopPrices | null, ...prices: number[]): Promise<string> {
  if (!from) throw new Error('no tax is in force today')
  const id = await draftQuote({ job_id: 'job', kind: 'first', basis: from })
  for (const [at, fixed_minor] of prices.entries())
    await putQuoteLine({
      quote_id: id,
      position: at,
      kind: 'fee',
      rank: 'needed',
      words: `Line ${at}`,
      fixed_minor,
    })
  return id
}

test.each([
  ['JPY', 0, '¥13,500', '9000', '12000', 12_000],
  ['KWD', 3, 'KWD\u00a013.500', '9.000', '12.345', 12_345],
  ['CLF', 4, 'CLF\u00a01.3500', '0.9000', '1.2345', 12_345],
])(
  'a shop of %s quotes, offers and saves its prices',
  async (currency, digits, total, rate, typed, minor) => {
    await openShop(currency, digits)
    const id = await startQuote(currentBasis(), 13_500)
    await show(<Quote id={id} />)
    expect(root.textContent).toContain(total)
    await show(<Offer id={id} />)
    expect(root.textContent).toContain(total)

    await show(<Prices />)
    const field = [...root.querySelectorAll('input')].find(({ value }) => value === rate)
    await act(() => {
      if (!field) throw new Error(`no field shows ${rate}`)
      field.value = typed
      field.dispatchEvent(new Event('input', { bubbles: true }))
    })
    await act(async () => {
      root.querySelector('form')?.dispatchEvent(new Event('submit', { bubbles: true, cancelable: true }))
    })
    await vi.waitFor(() => expect(priceBook.value?.prices.labor_rates[0]?.minor_per_hour).toBe(minor))
    expect(priceBook.value?.prices.minor_digits).toBe(digits)
  },
)

test('a draft with an ended tax profile warns and switches to the current one', async () => {
  const today = dayIn('America/Boise', Date.now())
  const [plain] = basis.tax_profiles as [TaxProfileInput]
  const rates = [{ key: 'gst', label: 'GST', percent: '6' }]
  const ended = { ...plain, key: 'old', label: 'Old tax', until_on: daysAfter(today, -1), rates: [] }
  const current = { ...plain, key: 'new', label: 'New tax', from_on: today, rates, fee: true }
  await openShop('USD', 2, { tax_profiles: [ended, current] })
  const id = await startQuote({ ...basis, tax_profiles: [ended] }, 10_000)
  await show(<Quote id={id} />)
  expect(root.textContent).toContain(en.quote.builder.taxEnded('Old tax'))
  expect(button(en.quote.builder.hand)?.tagName).toBe('BUTTON')
  await show(<Offer id={id} />)
  expect(root.textContent).not.toContain(en.quote.offer.handTo)

  await show(<Quote id={id} />)
  await act(async () => button(en.quote.builder.useTax('New tax'))?.click())
  await vi.waitFor(() => expect(root.textContent).not.toContain(en.quote.builder.taxEnded('Old tax')))
  expect(root.textContent).toContain('$106.00')
  expect(button(en.quote.builder.hand)?.tagName).toBe('A')
})

test('a quote is offered from its last look and then asked by link', async () => {
  await openShop('USD', 2)
  const id = await startQuote(currentBasis(), 10_000)
  await show(<Offer id={id} />)
  await act(async () => button(en.quote.offer.ask)?.click())
  await vi.waitFor(() => expect(currentRoute.value).toEqual({ at: 'quote-ask', id }))
  expect(quote(id)?.state).toBe('offered')
  expect(customerMode.value).toBe(null)
})

test('a customer sees the share of a fixed discount before deciding', async () => {
  await openShop('USD', 2)
  const id = await startQuote(currentBasis(), 2_000, 38_000)
  const draft = quote(id)
  if (!draft) throw new Error('no draft')
  await editQuote(draft, { discount: { percent: null, minor: 10_000 } })
  await show(<Offer id={id} />)
  expect(root.textContent).toContain('you get the same share of the discount')
  const row = quote(id)
  const lines = shopSession.value?.view.where('quote_line', 'quote_id', id) ?? []
  const small = new Set(lines.filter(({ fixed_minor }) => fixed_minor === 2_000).map((line) => line.id))
  expect(row && calculateAccepted(row, lines, small).total_minor).toBe(1_500)
})

test('the agreed total without a signal includes discount lines', async () => {
  await openShop('USD', 2)
  const id = await startQuote(currentBasis(), 2_000, 38_000)
  const off = { kind: 'discount', rank: 'advised', words: 'Neighbor', discount_minor: 10_000 } as const
  await putQuoteLine({ quote_id: id, position: 9, ...off })
  const [small] = shopSession.value?.view.where('quote_line', 'quote_id', id) ?? []
  await offer(id)
  await decide(id, small?.id ?? '')
  expect(approvalsOf(id)[0]?.accepted_total_minor).toBe(1_500)
  expect(agreed('job', Date.now())?.total).toBe(1_500)
})

/** Offers a quote and records a yes to some of its lines. */
async function decide(id: string, ...accepted_ids: string[]): Promise<void> {
  const lines = (shopSession.value?.view.where('quote_line', 'quote_id', id) ?? []).filter(
    ({ kind }) => kind !== 'discount',
  )
  await decideQuote({
    quote_id: id,
    revision: quote(id)?.revision ?? 0,
    how: 'in_person',
    decided_by_name: 'Winnie',
    decided_at: moment(Date.now()),
    zone: 'UTC',
    digest: 'd',
    accepted_ids,
    declined_ids: lines.map((line) => line.id).filter((line) => !accepted_ids.includes(line)),
  })
}

const offer = (id: string) =>
  offerQuote({
    id,
    valid_until: '2099-01-01',
    digest: 'd',
    total_minor: 40_000,
    shown: { shop: 'Shop', customer: 'Winnie', machine: 'tiller', exempt: false },
  })

test('a decided quote is listed and shown by the amount agreed, and counts until its revision is decided', async () => {
  await openShop('USD', 2)
  const first = await startQuote(currentBasis(), 2_000, 38_000)
  await offer(first)
  await decide(first, shopSession.value?.view.where('quote_line', 'quote_id', first)[0]?.id ?? '')
  const stored = () => quote(first) ?? expect.fail('no quote')
  await show(<Quote id={first} />)
  expect(root.textContent).toContain(`${en.quote.result.agreed}$20.00`)
  expect(root.textContent).not.toContain('$400.00')

  const second = await reviseQuote(stored(), stored().basis)
  await offer(second)
  const row = shopSession.value?.view.get('job', 'job') ?? expect.fail('no job')
  await show(<JobQuotes job={row} />)
  expect(root.textContent).toContain('$20.00answered')
  expect(root.textContent).toContain('$400.00waiting for the customer')
  await show(<Quote id={first} />)
  expect(button(en.quote.result.writeRevision)).toBeUndefined()
  expect(button(en.quote.result.seeRevision(2))?.getAttribute('href')).toContain(second)

  await withdrawQuote(second)
  expect([stored().state, quote(second)?.state]).toEqual(['decided', 'withdrawn'])
  const third = await reviseQuote(stored(), stored().basis)
  await offer(third)
  expect(stored().state).toBe('decided')
  await decide(third)
  expect([stored().state, quote(third)?.state]).toEqual(['replaced', 'decided'])
  expect(agreed('job', Date.now())?.total).toBe(0)
})

test('the dock of a draft has one total, with the name that the totals give it', async () => {
  await openShop('USD', 2)
  const id = await startQuote(currentBasis(), 2_000, 38_000)
  for (const screen of [<Quote id={id} />, <Offer id={id} />]) {
    await show(screen)
    const dock = root.querySelector('.running-total')?.textContent
    const totals = root.querySelector('.totals .grand-total')?.textContent
    expect(dock).toBe(totals)
    expect(dock).toContain('$400.00')
  }
})
