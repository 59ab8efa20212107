/** The prices that a shop confirms, on the phone before they are sent: as `tests/quotes/test_confirmed_prices.py`. */
import { expect, test } from 'vitest'
import {
  type Customer,
  type Job,
  PRICE_PARTS,
  type PriceBook,
  type Quote,
  type QuoteLine,
  type Shop,
} from '../../domain/contract'
import type { ShopPrices } from '../../domain/quotes/book'
import { following, unconfirmed, withConfirmed } from '../../domain/quotes/confirmed'
import { newId } from '../browser/clock'
import { basis } from '../fakes/book'
import type { OutboxEntry } from '../queue/entry'
import { RowsView } from '../rows/view'
import { loadReplays } from './replay'

await loadReplays()

const born = { created_at: '2026-04-01T08:00:00.000Z', changed_at: '2026-04-01T08:00:00.000Z' }
const [L1, L2] = [newId(), newId()]
const line = { ...born, quote_id: 'q', rank: 'needed', taxed: null }
const hours = { ...line, id: L1, position: 0, kind: 'labor', words: 'Sharpen', hours: '1.5' }
const part = {
  ...line,
  id: L2,
  position: 1,
  kind: 'part',
  words: 'Blade',
  quantity: '1',
  unit_cost_minor: 4000,
}

function openView(confirmed: PriceBook['confirmed'], state: Quote['state'] = 'draft') {
  const view = new RowsView({ member_id: 'm', device_id: 'd' })
  const quote = { ...born, id: 'q', job_id: 'j', state, basis, discount: { percent: null, minor: null } }
  view.replaceAll({
    rows: [
      ['shop', 's', { ...born, id: 's', zone: 'America/Boise' } as Shop],
      ['price_book', 's', { ...born, id: 's', prices: basis, confirmed } as unknown as PriceBook],
      ['job', 'j', { ...born, id: 'j', customer_id: 'c' } as Job],
      ['customer', 'c', { ...born, id: 'c', tax_exempt: false } as Customer],
      ['quote', 'q', quote as unknown as Quote],
      ['quote_line', L1, hours as unknown as QuoteLine],
      ['quote_line', L2, part as unknown as QuoteLine],
    ],
    outbox: [],
  })
  let no = 0
  const edit = (set: object) => {
    no += 1
    const entry = { id: `c${no}`, no, v: 1, name: 'edit_price_book', args: { id: 's', base: {}, set } }
    view.append([{ ...entry, wall: '2026-04-02T18:00:00.000Z', status: 'waiting' } as unknown as OutboxEntry])
    return [view.get('price_book', 's')?.confirmed, view.get('quote', 'q')?.totals?.total_minor]
  }
  return { view, edit }
}

const [rate] = basis.labor_rates
const [tax] = basis.tax_profiles
const wanted = {
  ...basis,
  labor_rates: [{ ...rate, minor_per_hour: 12_000 }],
  part_bands: [{ up_to_minor: null, markup_percent: '50' }],
  tax_profiles: [{ ...tax, key: 'tax', rates: [{ key: 's', label: 'State', percent: '10' }] }],
} as ShopPrices

test('confirmations add up, and a draft follows each part that is confirmed for the first time', () => {
  const { view, edit } = openView([])
  // 1.5 h at 120.00 and the part still with 40 %, with 10 % on both.
  expect(edit({ prices: wanted, confirmed: ['tax_profiles', 'labor_rates'] })).toEqual([
    ['labor_rates', 'tax_profiles'],
    25_960,
  ])
  expect(edit({ confirmed: ['part_bands', 'terms'] })).toEqual([[...PRICE_PARTS], 26_400])
  // What is changed later is for new quotes.
  expect(edit({ prices: basis })).toEqual([[...PRICE_PARTS], 26_400])
  expect(view.get('price_book', 's')?.prices).toEqual(basis)
})

test('an edit that says nothing of it confirms every part', () => {
  expect(openView([]).edit({ prices: wanted })).toEqual([[...PRICE_PARTS], 26_400])
})

test('a quote that left the shop keeps its prices', () => {
  const { view, edit } = openView([], 'offered')
  edit({ prices: wanted })
  expect(view.get('quote', 'q')?.basis).toEqual(basis)
})

test('parts are asked about in their order; without a tax profile for the day a draft keeps its own', () => {
  expect(unconfirmed(['terms'])).toEqual(['labor_rates', 'part_bands', 'tax_profiles'])
  expect(withConfirmed(['terms'], ['labor_rates'])).toEqual(['labor_rates', 'terms'])
  const later = {
    ...wanted,
    terms: 'T',
    tax_profiles: [{ ...tax, key: 'late', from_on: '2027-01-01' }],
  } as ShopPrices
  const on = following(basis, later, ['terms', 'tax_profiles'], '2026-04-02')
  expect(on).toEqual({ ...basis, terms: 'T' })
})
