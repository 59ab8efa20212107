import type { PriceBook } from '../../../domain/book'
import type { Figures } from '../../../domain/figures'
import { en } from '../../../domain/words'

/** One figure of the price book as it is shown and typed; `path` leads to it ("labor_rates.0.minor_per_hour"). */
export interface PriceField {
  path: string
  label: string
  as: 'money' | 'maybe-money' | 'decimal' | 'whole' | 'words' | 'long' | 'day' | 'maybe-day'
}

/** One of a few, at a path. */
export interface PriceChoice {
  path: string
  label: string
  options: readonly { value: string; words: string }[]
}

export interface PricePart {
  title: string
  fields: readonly PriceField[]
  choices?: readonly PriceChoice[]
  /** What can be added at the end of this part. */
  adds?: 'rate' | 'band' | 'zone' | 'profile'
}

const its = en.prices
const YES_NO = [
  { value: 'true', words: its.taxed },
  { value: 'false', words: its.untaxed },
]

/** The whole price book, part by part, in the order an owner fills it in. */
export function partsOf(book: PriceBook, figures: Figures): PricePart[] {
  const unit = en.quote.line.unit[book.travel.unit]
  return [
    {
      title: its.rates,
      adds: 'rate',
      fields: [
        ...book.labor_rates.flatMap((_, at) => [
          { path: `labor_rates.${at}.label`, label: its.rateName, as: 'words' as const },
          { path: `labor_rates.${at}.minor_per_hour`, label: its.ratePrice, as: 'money' as const },
        ]),
        { path: 'labor_minimum_minor', label: its.minimum, as: 'money' },
        { path: 'diagnosis_fee_minor', label: its.diagnosis, as: 'money' },
      ],
      choices: [
        {
          path: 'credit_diagnosis',
          label: its.credit,
          options: [
            { value: 'true', words: its.creditYes },
            { value: 'false', words: its.creditNo },
          ],
        },
      ],
    },
    {
      title: its.bands,
      adds: 'band',
      fields: book.part_bands.flatMap(({ up_to_minor }, at) => [
        ...(up_to_minor === null
          ? []
          : [{ path: `part_bands.${at}.up_to_minor`, label: its.bandUnder, as: 'money' as const }]),
        {
          path: `part_bands.${at}.markup_percent`,
          label: up_to_minor === null ? its.bandAbove : its.bandPercent(figures.money(up_to_minor)),
          as: 'decimal' as const,
        },
      ]),
    },
    {
      title: its.supplies,
      fields: [
        { path: 'supplies.percent', label: its.suppliesPercent, as: 'decimal' },
        { path: 'supplies.floor_minor', label: its.suppliesLeast, as: 'money' },
        { path: 'supplies.cap_minor', label: its.suppliesMost, as: 'maybe-money' },
      ],
    },
    {
      title: its.travel,
      ...(book.travel.mode === 'zone' && { adds: 'zone' as const }),
      choices: [
        {
          path: 'travel.mode',
          label: its.travelMode,
          options: [
            { value: 'distance', words: its.byDistance },
            { value: 'zone', words: its.byZone },
          ],
        },
      ],
      fields:
        book.travel.mode === 'zone'
          ? book.travel.zones.flatMap((_, at) => [
              { path: `travel.zones.${at}.label`, label: en.quote.line.zone, as: 'words' as const },
              { path: `travel.zones.${at}.minor`, label: en.quote.line.price, as: 'money' as const },
            ])
          : [
              { path: 'travel.minor_per_unit', label: its.travelPer(unit), as: 'money' },
              { path: 'travel.free_units', label: its.travelFree(unit), as: 'decimal' },
              { path: 'travel.minimum_minor', label: its.travelLeast, as: 'money' },
            ],
    },
    {
      title: its.deposit,
      fields: [
        { path: 'deposit.percent', label: its.depositPercent, as: 'decimal' },
        { path: 'deposit.from_total_minor', label: its.depositFrom, as: 'money' },
      ],
    },
    {
      title: its.offers,
      fields: [
        { path: 'valid_days', label: its.validity, as: 'whole' },
        { path: 'terms', label: its.terms, as: 'long' },
      ],
    },
    ...book.tax_profiles.map((profile, at) => taxPart(profile, at, at === book.tax_profiles.length - 1)),
  ]
}

function taxPart(profile: PriceBook['tax_profiles'][number], at: number, last: boolean): PricePart {
  const path = `tax_profiles.${at}`
  const taxed = (field: string, label: string) => ({ path: `${path}.${field}`, label, options: YES_NO })
  return {
    title: its.taxOf(profile.label || profile.key),
    ...(last && { adds: 'profile' as const }),
    fields: [
      { path: `${path}.label`, label: its.taxName, as: 'words' },
      { path: `${path}.from_on`, label: its.taxFrom, as: 'day' },
      { path: `${path}.until_on`, label: its.taxUntil, as: 'maybe-day' },
      ...profile.rates.flatMap((_, rate) => [
        { path: `${path}.rates.${rate}.label`, label: its.taxRateName, as: 'words' as const },
        { path: `${path}.rates.${rate}.percent`, label: its.taxRate, as: 'decimal' as const },
      ]),
    ],
    choices: [
      {
        path: `${path}.inclusive`,
        label: its.inclusive,
        options: [
          { value: 'false', words: its.inclusiveNo },
          { value: 'true', words: its.inclusiveYes },
        ],
      },
      {
        path: `${path}.labor`,
        label: en.quote.kinds.labor,
        options: [
          { value: 'always', words: its.laborAlways },
          { value: 'when_parts_supplied', words: its.laborWithParts },
          { value: 'never_when_separate', words: its.laborNever },
        ],
      },
      taxed('part', its.parts),
      taxed('supplies', its.supplies),
      taxed('travel', its.travel),
      taxed('fee', its.fees),
      {
        path: `${path}.per`,
        label: its.per,
        options: [
          { value: 'invoice', words: its.perWhole },
          { value: 'line', words: its.perLine },
        ],
      },
    ],
  }
}

/** What stands at a path of the book, as it is typed. */
export function typedAt(
  book: PriceBook,
  { path, as }: Pick<PriceField, 'path' | 'as'>,
  figures: Figures,
): string {
  const value = valueAt(book, path)
  if (value === null || value === undefined) return ''
  if (as === 'money' || as === 'maybe-money') return figures.typedMoney(Number(value))
  return as === 'decimal' ? figures.number(String(value)) : String(value)
}

/** What was typed, as it stands in the book; undefined when it cannot be read. */
export function readAt(
  typed: string,
  as: PriceField['as'],
  figures: Figures,
): string | number | null | undefined {
  const text = typed.trim()
  if ((as === 'maybe-money' || as === 'maybe-day') && !text) return null
  if (as === 'money' || as === 'maybe-money') return figures.readMoney(text) ?? undefined
  if (as === 'decimal') return figures.readNumber(text) ?? undefined
  if (as === 'whole') return /^\d{1,6}$/.test(text) ? Number(text) : undefined
  return as === 'long' ? typed : text
}

export function valueAt(book: PriceBook, path: string): unknown {
  return path.split('.').reduce<unknown>((at, step) => (at as Record<string, unknown> | null)?.[step], book)
}

/** A copy of the book with another value at one path. */
export function withAt(book: PriceBook, path: string, value: unknown): PriceBook {
  const copy = structuredClone(book)
  const steps = path.split('.')
  const last = steps.pop() ?? ''
  const parent = steps.reduce<unknown>((at, step) => (at as Record<string, unknown>)[step], copy)
  ;(parent as Record<string, unknown>)[last] = value
  return copy
}
