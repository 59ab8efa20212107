import type { NumberFormats } from '../../../domain/numbers/formats'
import type { ShopPrices } from '../../../domain/quotes/book'
import { en } from '../../../domain/words'

/** One number of the price book as shown and typed; `path` locates it ("labor_rates.0.minor_per_hour"). */
export interface PriceField {
  path: string
  label: string
  as: 'money' | 'maybe-money' | 'decimal' | 'whole' | 'words' | 'long' | 'day' | 'maybe-day'
}

/** One of a few options, at a path. */
export interface PriceChoice {
  path: string
  label: string
  /** The default where the price book has no value. */
  unsaid?: string
  options: readonly { value: string; label: string }[]
}

export interface PricePart {
  title: string
  fields: readonly PriceField[]
  choices?: readonly PriceChoice[]
  /** The kind of entry that can be added at the end of this section. */
  adds?: 'rate' | 'band' | 'zone' | 'profile'
}

const t = en.prices
const YES_NO = [
  { value: 'true', label: t.taxed },
  { value: 'false', label: t.untaxed },
]

/** The sections of the price book, in the order in which the owner of the shop fills them in. */
export function partsOf(book: ShopPrices, figures: NumberFormats): PricePart[] {
  return [
    ratesPart(book),
    {
      title: t.bands,
      adds: 'band',
      fields: book.part_bands.flatMap(({ up_to_minor }, at) => [
        ...(up_to_minor === null
          ? []
          : [{ path: `part_bands.${at}.up_to_minor`, label: t.bandUnder, as: 'money' as const }]),
        {
          path: `part_bands.${at}.markup_percent`,
          label: up_to_minor === null ? t.bandAbove : t.bandPercent(figures.money(up_to_minor)),
          as: 'decimal' as const,
        },
      ]),
    },
    {
      title: t.supplies,
      fields: [
        { path: 'supplies.percent', label: t.suppliesPercent, as: 'decimal' },
        { path: 'supplies.floor_minor', label: t.suppliesLeast, as: 'money' },
        { path: 'supplies.cap_minor', label: t.suppliesMost, as: 'maybe-money' },
      ],
    },
    travelPart(book),
    {
      title: t.deposit,
      fields: [
        { path: 'deposit.percent', label: t.depositPercent, as: 'decimal' },
        { path: 'deposit.from_total_minor', label: t.depositFrom, as: 'money' },
      ],
    },
    {
      title: t.offers,
      fields: [
        { path: 'valid_days', label: t.validity, as: 'whole' },
        { path: 'terms', label: t.terms, as: 'long' },
      ],
    },
    ...book.tax_profiles.map((profile, at) => taxPart(profile, at, at === book.tax_profiles.length - 1)),
  ]
}

function ratesPart(book: ShopPrices): PricePart {
  return {
    title: t.rates,
    adds: 'rate',
    fields: [
      ...book.labor_rates.flatMap((_, at) => [
        { path: `labor_rates.${at}.label`, label: t.rateName, as: 'words' as const },
        { path: `labor_rates.${at}.minor_per_hour`, label: t.ratePrice, as: 'money' as const },
      ]),
      { path: 'labor_minimum_minor', label: t.minimum, as: 'money' },
      { path: 'diagnosis_fee_minor', label: t.diagnosis, as: 'money' },
    ],
    choices: [
      {
        path: 'credit_diagnosis',
        label: t.credit,
        options: [
          { value: 'true', label: t.creditYes },
          { value: 'false', label: t.creditNo },
        ],
      },
    ],
  }
}

function travelPart({ travel }: ShopPrices): PricePart {
  const unit = en.quote.line.unit[travel.unit]
  return {
    title: t.travel,
    ...(travel.mode === 'zone' && { adds: 'zone' as const }),
    choices: [
      {
        path: 'travel.mode',
        label: t.travelMode,
        options: [
          { value: 'distance', label: t.byDistance },
          { value: 'zone', label: t.byZone },
        ],
      },
    ],
    fields:
      travel.mode === 'zone'
        ? travel.zones.flatMap((_, at) => [
            { path: `travel.zones.${at}.label`, label: en.quote.line.zone, as: 'words' as const },
            { path: `travel.zones.${at}.minor`, label: en.quote.line.price, as: 'money' as const },
          ])
        : [
            { path: 'travel.minor_per_unit', label: t.travelPer(unit), as: 'money' },
            { path: 'travel.free_units', label: t.travelFree(unit), as: 'decimal' },
            { path: 'travel.minimum_minor', label: t.travelLeast, as: 'money' },
          ],
  }
}

function taxPart(profile: ShopPrices['tax_profiles'][number], at: number, last: boolean): PricePart {
  const path = `tax_profiles.${at}`
  const taxed = (field: string, label: string) => ({ path: `${path}.${field}`, label, options: YES_NO })
  return {
    title: t.taxOf(profile.label || profile.key),
    ...(last && { adds: 'profile' as const }),
    fields: [
      { path: `${path}.label`, label: t.taxName, as: 'words' },
      { path: `${path}.from_on`, label: t.taxFrom, as: 'day' },
      { path: `${path}.until_on`, label: t.taxUntil, as: 'maybe-day' },
      ...profile.rates.flatMap((_, rate) => [
        { path: `${path}.rates.${rate}.label`, label: t.taxRateName, as: 'words' as const },
        { path: `${path}.rates.${rate}.percent`, label: t.taxRate, as: 'decimal' as const },
      ]),
    ],
    choices: [
      {
        path: `${path}.inclusive`,
        label: t.inclusive,
        options: [
          { value: 'false', label: t.inclusiveNo },
          { value: 'true', label: t.inclusiveYes },
        ],
      },
      {
        path: `${path}.labor`,
        label: en.quote.kinds.labor,
        options: [
          { value: 'always', label: t.laborAlways },
          { value: 'when_parts_supplied', label: t.laborWithParts },
          { value: 'never_when_separate', label: t.laborNever },
        ],
      },
      taxed('part', t.parts),
      taxed('supplies', t.supplies),
      taxed('travel', t.travel),
      taxed('fee', t.fees),
      {
        path: `${path}.per`,
        label: t.per,
        options: [
          { value: 'invoice', label: t.perWhole },
          { value: 'line', label: t.perLine },
        ],
      },
      ...roundingOf(profile, path),
    ],
  }
}

/** Several tax rates are rounded one by one or together; with a single rate there is no choice. */
function roundingOf(profile: ShopPrices['tax_profiles'][number], path: string): PriceChoice[] {
  if (profile.rates.length < 2) return []
  return [
    {
      path: `${path}.rates_rounded`,
      label: t.ratesRounded,
      // A profile without this setting rounds its rates together.
      unsaid: 'together',
      options: [
        { value: 'each', label: t.ratesEach },
        { value: 'together', label: t.ratesTogether },
      ],
    },
  ]
}

/** The value at a path of the price book, as text. */
export function typedAt(
  book: ShopPrices,
  { path, as }: Pick<PriceField, 'path' | 'as'>,
  figures: NumberFormats,
): string {
  const value = valueAt(book, path)
  if (value === null || value === undefined) return ''
  if (as === 'money' || as === 'maybe-money') return figures.typedMoney(Number(value))
  return as === 'decimal' ? figures.number(String(value)) : String(value)
}

/** The typed text as a value of the price book; undefined where it cannot be parsed. */
export function readAt(
  typed: string,
  as: PriceField['as'],
  figures: NumberFormats,
): string | number | null | undefined {
  const text = typed.trim()
  if ((as === 'maybe-money' || as === 'maybe-day') && !text) return null
  if (as === 'money' || as === 'maybe-money') return figures.readMoney(text) ?? undefined
  if (as === 'decimal') return figures.readNumber(text) ?? undefined
  if (as === 'whole') return /^\d{1,6}$/.test(text) ? Number(text) : undefined
  return as === 'long' ? typed : text
}

export function valueAt(book: ShopPrices, path: string): unknown {
  return path.split('.').reduce<unknown>((at, step) => (at as Record<string, unknown> | null)?.[step], book)
}

/** A copy of the price book with another value at one path. */
export function withAt(book: ShopPrices, path: string, value: unknown): ShopPrices {
  const copy = structuredClone(book)
  const steps = path.split('.')
  const last = steps.pop() ?? ''
  const parent = steps.reduce<unknown>((at, step) => (at as Record<string, unknown>)[step], copy)
  ;(parent as Record<string, unknown>)[last] = value
  return copy
}
