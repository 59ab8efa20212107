import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { numberFormatsFor } from '../../../domain/numbers/formats'
import type { ShopPrices } from '../../../domain/quotes/book'
import { checkBook } from '../../../domain/quotes/checks'
import { withNewEntry } from './priceBookEntries'
import { partsOf, readAt, typedAt, withAt } from './priceFields'

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

test.each(['rate', 'band', 'zone', 'profile'] as const)(
  'adding a %s lacks nothing but what is to be typed',
  (what) => {
    const more = withNewEntry(book, what, '2026-06-01')
    const blank = checkBook(more).filter(({ code }) => code !== 'words_empty')
    expect(blank).toEqual([])
    expect(more).not.toEqual(book)
  },
)

test('a new tax entry begins the day after the one before ends', () => {
  const profiles = withNewEntry(book, 'profile', '2026-06-01').tax_profiles
  expect(profiles.slice(-2).map(({ from_on, until_on }) => [from_on, until_on])).toEqual([
    ['2026-01-01', '2026-06-01'],
    ['2026-06-02', null],
  ])
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
      'profile',
      '2026-06-01',
    )
  expect(next().tax_profiles.at(-1)?.rates_rounded).toBe('each')
  expect(next('together').tax_profiles.at(-1)?.rates_rounded).toBe('together')
})
