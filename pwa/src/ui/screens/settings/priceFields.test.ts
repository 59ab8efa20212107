import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { numberFormatsFor } from '../../../domain/numbers/formats'
import type { ShopPrices } from '../../../domain/quotes/book'
import { checkBook } from '../../../domain/quotes/checks'
import { basis } from '../../../store/fakes/book'
import { exampleBill } from './exampleBill'
import { TAX_SHAPES, type TaxShape, withNewEntry, withoutLast, withTaxShape } from './priceBookEntries'
import { chosenAt, optionAt, parsePriceBook, partsOf, readAt, typedAt, valueAt, withAt } from './priceFields'

const demo = readFileSync(new URL('../../../../../fixtures/demo/shop.json', import.meta.url), 'utf8')
const { book } = JSON.parse(demo, (key, value: unknown) => (key === 'member_id' ? null : value)) as {
  book: ShopPrices
}
const figures = numberFormatsFor('en-US', 'USD', 'America/Chicago')

test('every figure of the price book survives formatting and parsing', () => {
  const fields = partsOf(book, figures).flatMap((part) => part.fields)
  const again = fields.reduce(
    (now, field) => withAt(now, field.path, readAt(typedAt(book, field, figures), field.as, figures)),
    book,
  )
  expect(again).toEqual(book)
  expect(fields.length).toBeGreaterThan(25)
})

test('every choice of the price book survives being chosen as it is', () => {
  const choices = partsOf(book, figures).flatMap((part) => part.choices ?? [])
  for (const choice of choices) {
    const chosen = optionAt(book, choice)
    expect(chosen, choice.path).toBeDefined()
    const before = valueAt(book, choice.path) ?? null
    if (choice.unsaid === undefined || before !== null)
      expect([choice.path, chosenAt(choice, chosen?.value ?? '')]).toEqual([choice.path, before])
    // What the price book may hold: every option of a choice can be saved.
    for (const { value } of choice.options) {
      const faults = checkBook(withAt(book, choice.path, chosenAt(choice, value)))
      // By zone, the zones are still to be added.
      const wanted = choice.path === 'travel.mode' && value === 'zone' ? ['zones_missing'] : []
      expect([choice.path, value, faults.map(({ code }) => code)]).toEqual([choice.path, value, wanted])
    }
  }
  expect(choices.map(({ path }) => path)).toEqual(
    expect.arrayContaining(['supplies.of', 'deposit.of', 'travel.unit', 'rounding', 'fixed_discount']),
  )
})

test('supplies of parts and labor stay in the order of the price book', () => {
  const turned = withAt(book, 'supplies.of', ['part', 'labor'])
  const [choice] = partsOf(turned, figures).flatMap(({ choices }) =>
    (choices ?? []).filter(({ path }) => path === 'supplies.of'),
  )
  expect(choice && optionAt(turned, choice)?.label).toBe('Labor and parts')
  expect(choice && chosenAt(choice, 'part,labor')).toEqual(['part', 'labor'])
})

test('what may be exceeded, the step of the deposit and a fixed deposit are typed', () => {
  const typed = { tolerance_percent: '10', 'deposit.rounding_to_minor': '5.00', 'deposit.fixed_minor': '150' }
  const { whole, faults } = parsePriceBook({ prices: book, typed }, figures)
  expect(faults).toEqual({})
  expect(whole.tolerance_percent).toBe('10')
  expect(whole.deposit).toMatchObject({ rounding_to_minor: 500, fixed_minor: 15_000 })
  const blank = parsePriceBook({ prices: whole, typed: { 'deposit.fixed_minor': '' } }, figures)
  expect(blank.whole.deposit.fixed_minor).toBeNull()
  const wrong = { tolerance_percent: '101', 'deposit.rounding_to_minor': '0' }
  expect(Object.keys(parsePriceBook({ prices: book, typed: wrong }, figures).faults)).toEqual(
    Object.keys(wrong).reverse(),
  )
})

test.each(['labor_rates', 'part_bands', 'travel.zones', 'tax_profiles', 'tax_profiles.0.rates'])(
  'an entry added to %s lacks nothing but what is to be typed',
  (what) => {
    const more = withNewEntry(book, what, '2026-06-01')
    const blank = checkBook(more).filter(({ code }) => code !== 'words_empty')
    expect(blank).toEqual([])
    expect(more).not.toEqual(book)
  },
)

test('a new tax entry begins the day after the one before ends', () => {
  const profiles = withNewEntry(book, 'tax_profiles', '2026-06-01').tax_profiles
  expect(profiles.slice(-2).map(({ from_on, until_on }) => [from_on, until_on])).toEqual([
    ['2026-01-01', '2026-06-01'],
    ['2026-06-02', null],
  ])
})

test('sections of the tax have names of their own', () => {
  const titles = partsOf(book, figures).flatMap(({ title, bill }) => (bill ? [title, bill] : [title]))
  expect(book.tax_profiles.length).toBeGreaterThan(1)
  expect(titles.filter((title, at) => titles.indexOf(title) !== at)).toEqual([])
})

test('rounding of several taxes is a choice only where there are several', () => {
  const asked = (of: ShopPrices) =>
    partsOf(of, figures)
      .flatMap(({ choices }) => choices ?? [])
      .filter(({ path }) => path.endsWith('.rates_rounded'))
  const [last] = book.tax_profiles.slice(-1)
  expect(last?.rates.length).toBeGreaterThan(1)
  const of = (rates: unknown) => ({ ...book, tax_profiles: [{ ...last, rates }] }) as ShopPrices
  expect(asked(of(last?.rates)).map(({ path, unsaid }) => [path, unsaid])).toEqual([
    ['tax_profiles.0.rates_rounded', 'together'],
  ])
  expect(asked(of(last?.rates.slice(1, 2)))).toEqual([])
  // The next profile rounds each tax separately unless the one before does not.
  const next = (rates_rounded?: string) =>
    withNewEntry(
      { ...book, tax_profiles: [{ ...last, ...(rates_rounded && { rates_rounded }) }] } as ShopPrices,
      'tax_profiles',
      '2026-06-01',
    )
  expect(next().tax_profiles.at(-1)?.rates_rounded).toBe('each')
  expect(next('together').tax_profiles.at(-1)?.rates_rounded).toBe('together')
})

test('the price book of a new shop offers a tax rate, and examples of what is taxed', () => {
  const [tax] = partsOf(basis, figures).filter(({ of }) => of === 'tax_profiles')
  expect(tax?.adds).toContain('tax_profiles.0.rates')
  const more = withNewEntry(basis, 'tax_profiles.0.rates', '2026-06-01')
  const paths = partsOf(more, figures).flatMap(({ fields }) => fields.map(({ path }) => path))
  expect(paths).toContain('tax_profiles.0.rates.0.percent')
  expect(withoutLast(more, 'tax_profiles.0.rates')).toEqual(basis)
})

test.each(Object.keys(TAX_SHAPES) as TaxShape[])(
  'the example "%s" names no percentage and can be saved once its rates are typed',
  (shape) => {
    const prices = withTaxShape(basis, 0, shape)
    expect(checkBook(prices)).toEqual([])
    expect(prices.tax_profiles[0]?.rates.every(({ percent }) => percent === '0')).toBe(true)
    // Drafts that follow the profile of before are shown as such.
    expect(prices.tax_profiles[0]?.key).not.toBe(basis.tax_profiles[0]?.key)
    const untyped = parsePriceBook({ prices, typed: { 'tax_profiles.0.rates.0.percent': '' } }, figures)
    expect(Object.keys(untyped.faults)).toEqual(shape === 'none' ? [] : ['tax_profiles.0.rates.0.percent'])
  },
)

const billOf = (shape: TaxShape, percents: string[], more: object = {}) => {
  const typed = Object.fromEntries(
    percents.map((percent, rate) => [`tax_profiles.0.rates.${rate}.percent`, percent]),
  )
  const prices = { ...withTaxShape(basis, 0, shape), ...more }
  const { lines, sums } = exampleBill(parsePriceBook({ prices, typed }, figures).whole, 0, figures)
  return {
    lines: lines.map(({ amount, taxed }) => [amount, taxed]),
    tax: sums.tax.map(({ tax_minor }) => tax_minor),
    total: sums.total_minor,
  }
}

test.each([
  // 1.5 h at 90.00, and a part of 40.00 with 40 %: 135.00 and 56.00.
  { shape: 'none', percents: [], taxed: [true, true], tax: [], total: 19_100 },
  { shape: 'parts', percents: ['6'], taxed: [false, true], tax: [336], total: 19_436 },
  { shape: 'withParts', percents: ['6'], taxed: [true, true], tax: [1146], total: 20_246 },
  { shape: 'two', percents: ['4', '1.25'], taxed: [true, true], tax: [764, 239], total: 20_103 },
  { shape: 'inside', percents: ['19'], taxed: [true, true], tax: [3050], total: 19_100 },
] as const)('the example bill with "$shape" is worked out as a quote is', (row) => {
  const bill = billOf(row.shape, [...row.percents])
  expect(bill.lines).toEqual([
    [13_500, row.taxed[0]],
    [5600, row.taxed[1]],
  ])
  expect([bill.tax, bill.total]).toEqual([row.tax, row.total])
})

test('the example bill has travel by zone, and a part with a price where there is no mark-up', () => {
  const travel = { ...basis.travel, mode: 'zone', zones: [{ key: 'near', label: 'Near', minor: 2500 }] }
  const { lines } = billOf('none', [], { travel, part_bands: [] })
  expect(lines.map(([amount]) => amount)).toEqual([13_500, 4000, 2500])
})
