import type { ShopPrices } from '../../../domain/quotes/book'
import { type Day, daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words'
import { valueAt, withAt } from './priceFields'

const t = en.prices

/** A copy of the price book with one more entry at the end of the list at a path ("tax_profiles.0.rates"). */
export function withNewEntry(book: ShopPrices, path: string, today: Day): ShopPrices {
  const list = valueAt(book, path) as readonly { key: string }[]
  switch (path) {
    case 'part_bands':
      return { ...book, part_bands: withBand(book.part_bands) }
    case 'tax_profiles':
      return { ...book, tax_profiles: withProfile(book.tax_profiles, today) }
    case 'labor_rates':
      return withAt(book, path, [
        ...list,
        { key: freeKey('rate', list), label: '', minor_per_hour: 0, member_id: null, work: null },
      ])
    case 'travel.zones':
      return withAt(book, path, [...list, { key: freeKey('zone', list), label: '', minor: 0 }])
    default:
      return withAt(book, path, [...list, { key: freeKey('tax', list), label: '', percent: '0' }])
  }
}

/** A copy of the price book without the last entry of the list at a path. */
export const withoutLast = (book: ShopPrices, path: string): ShopPrices =>
  withAt(book, path, (valueAt(book, path) as readonly unknown[]).slice(0, -1))

/** The open-ended band stays last; the new one is inserted before it. */
function withBand(bands: ShopPrices['part_bands']): ShopPrices['part_bands'] {
  const open = bands.at(-1)
  if (!open) return [{ up_to_minor: null, markup_percent: '0' }]
  const before = bands.at(-2)?.up_to_minor ?? 0
  return [...bands.slice(0, -1), { up_to_minor: before + 10_000, markup_percent: open.markup_percent }, open]
}

/** The new profile starts tomorrow, or one day after the start of the last one, which ends the day before. */
function withProfile(profiles: ShopPrices['tax_profiles'], today: Day): ShopPrices['tax_profiles'] {
  const last = profiles.at(-1)
  if (!last) return profiles
  const latest = last.from_on > today ? last.from_on : today
  const from_on = daysAfter(last.until_on ?? latest, 1)
  return [
    ...profiles.slice(0, -1),
    { ...last, until_on: daysAfter(from_on, -1) },
    {
      rates_rounded: 'each',
      ...last,
      key: freeKey('tax', profiles),
      from_on,
      until_on: null,
    },
  ]
}

function freeKey(stem: string, taken: readonly { key: string }[]): string {
  let at = taken.length + 1
  while (taken.some(({ key }) => key === `${stem}-${at}`)) at++
  return `${stem}-${at}`
}

/** What may be taxed, as an example to start from. */
export type TaxShape = keyof typeof TAX_SHAPES

const PARTS = { labor: 'never_when_separate', part: true, supplies: true, travel: false, fee: false } as const
const ALL = { labor: 'always', part: true, supplies: true, travel: true, fee: true } as const
const ONE = [t.salesTax]

/** Examples with the names of their rates. No percentage is among them: that is for the shop to find out. */
export const TAX_SHAPES = {
  none: { ...ALL, inclusive: false, rates: [] },
  parts: { ...PARTS, inclusive: false, rates: ONE },
  withParts: { ...PARTS, labor: 'when_parts_supplied', inclusive: false, rates: ONE },
  all: { ...ALL, inclusive: false, rates: ONE },
  two: { ...ALL, inclusive: false, rates: [t.stateTax, t.localTax] },
  inside: { ...ALL, inclusive: true, rates: ONE },
} as const

/**
 * A copy of the price book in which the tax profile at a place follows an example. Its key is a new one, so that
 * drafts which follow the one before are shown as such.
 */
export function withTaxShape(book: ShopPrices, at: number, shape: TaxShape): ShopPrices {
  const { rates, ...of } = TAX_SHAPES[shape]
  return withAt(book, `tax_profiles.${at}`, {
    ...book.tax_profiles[at],
    ...of,
    key: freeKey('tax', book.tax_profiles),
    label: t.shapes[shape],
    rates_rounded: 'each',
    rates: rates.map((label, rate) => ({ key: `rate-${rate + 1}`, label, percent: '0' })),
  })
}
