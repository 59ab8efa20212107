import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { PriceBook } from '../../../domain/book'
import { checkBook } from '../../../domain/checks'
import { figuresFor } from '../../../domain/figures'
import { partsOf, readAt, typedAt, withAt } from './priceFields'
import { grown } from './pricesGrow'

const demo = readFileSync(new URL('../../../../../fixtures/demo/shop.json', import.meta.url), 'utf8')
const { book } = JSON.parse(demo, (key, value: unknown) => (key === 'member_id' ? null : value)) as {
  book: PriceBook
}
const figures = figuresFor('en-US', 'USD', 'America/Chicago')

test('every figure of the price book shows and reads back unchanged', () => {
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
    const more = grown(book, what, '2026-06-01')
    const blank = checkBook(more).filter(({ code }) => code !== 'words_empty')
    expect(blank).toEqual([])
    expect(more).not.toEqual(book)
  },
)

test('a new tax entry begins the day after the one before ends', () => {
  const profiles = grown(book, 'profile', '2026-06-01').tax_profiles
  expect(profiles.slice(-2).map(({ from_on, until_on }) => [from_on, until_on])).toEqual([
    ['2026-01-01', '2026-06-01'],
    ['2026-06-02', null],
  ])
})
