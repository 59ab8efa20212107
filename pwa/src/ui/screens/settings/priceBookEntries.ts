import type { ShopPrices } from '../../../domain/quotes/book'
import { type Day, daysAfter } from '../../../domain/time'
import type { PricePart } from './priceFields'

/** A copy of the price book with one more rate, band, zone or tax profile at the end of its list. */
export function withNewEntry(book: ShopPrices, what: NonNullable<PricePart['adds']>, today: Day): ShopPrices {
  switch (what) {
    case 'rate':
      return {
        ...book,
        labor_rates: [
          ...book.labor_rates,
          {
            key: freeKey('rate', book.labor_rates),
            label: '',
            minor_per_hour: 0,
            member_id: null,
            work: null,
          },
        ],
      }
    case 'band':
      return { ...book, part_bands: withBand(book.part_bands) }
    case 'zone': {
      const { zones } = book.travel
      return {
        ...book,
        travel: { ...book.travel, zones: [...zones, { key: freeKey('zone', zones), label: '', minor: 0 }] },
      }
    }
    case 'profile':
      return { ...book, tax_profiles: withProfile(book.tax_profiles, today) }
  }
}

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
