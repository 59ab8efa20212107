import type { PricePart } from '../../../domain/contract'
import type { NumberFormats } from '../../../domain/numbers/formats'
import type { ShopPrices } from '../../../domain/quotes/book'
import { checkBook } from '../../../domain/quotes/checks'
import { en } from '../../../domain/words'
import { badAmount } from '../../badAmount'

/** One number of the price book as shown and typed; `path` locates it ("labor_rates.0.minor_per_hour"). */
export interface PriceField {
  path: string
  label: string
  /** What the label does not say. */
  hint?: string
  as: 'money' | 'maybe-money' | 'decimal' | 'whole' | 'words' | 'long' | 'day' | 'maybe-day'
}

/** One of a few options, at a path. */
export interface PriceChoice {
  path: string
  label: string
  /** The default where the price book has no value. */
  unsaid?: string
  /** The value is a list, as its entries with commas between them in an option. */
  list?: true
  options: readonly { value: string; label: string; hint?: string }[]
}

export interface PriceSection {
  title: string
  /** The part that is confirmed by saving it, if it belongs to one. */
  of?: PricePart
  fields: readonly PriceField[]
  choices?: readonly PriceChoice[]
  /** The paths that are true or false, after the choices. */
  checks?: { label: string; options: readonly { value: string; label: string }[] }
  /** The paths of the lists to which an entry can be added at the end of this section. */
  adds?: readonly string[]
  /** The path of the list whose last entry can be removed. */
  drops?: string
  /** The place of the tax profile that this section is about. */
  profile?: number
  /** The title of its example bill. */
  bill?: string
}

export interface PricesFormFields {
  prices: ShopPrices
  /** What was typed, by path. */
  typed: Record<string, string>
}

const t = en.prices

/** The sections of the price book, in the order in which the owner of the shop fills them in. */
export function partsOf(book: ShopPrices, figures: NumberFormats): PriceSection[] {
  const bandLabel = (limit: number | null, at: number) =>
    limit !== null ? t.bandPercent(figures.money(limit)) : at ? t.bandAbove : t.bandAll
  return [
    ratesPart(book),
    {
      title: t.bands,
      of: 'part_bands',
      adds: ['part_bands'],
      fields: book.part_bands.flatMap(({ up_to_minor }, at) => [
        ...(up_to_minor === null
          ? []
          : [{ path: `part_bands.${at}.up_to_minor`, label: t.bandUnder, as: 'money' as const }]),
        {
          path: `part_bands.${at}.markup_percent`,
          label: bandLabel(up_to_minor, at),
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
      choices: [
        {
          path: 'supplies.of',
          label: t.suppliesOf,
          list: true,
          options: [
            { value: 'labor', label: en.quote.kinds.labor },
            { value: 'part', label: t.partLines },
            // In the order of the book, which may have been written by another program.
            {
              value: book.supplies.of.length > 1 ? String(book.supplies.of) : 'labor,part',
              label: t.laborAndParts,
            },
          ],
        },
      ],
    },
    travelPart(book),
    ...OFFER_PARTS,
    ...book.tax_profiles.flatMap((profile, at) => taxParts(profile, at, book)),
  ]
}

/** What holds for every quote: how long it stands, storage, deposit. */
const OFFER_PARTS: readonly PriceSection[] = [
  {
    title: t.offers,
    of: 'terms',
    fields: [
      { path: 'valid_days', label: t.validity, as: 'whole' },
      { path: 'tolerance_percent', label: t.tolerance, hint: t.toleranceHint, as: 'decimal' },
      { path: 'terms', label: t.terms, as: 'long' },
    ],
    choices: [
      {
        path: 'fixed_discount',
        label: t.fixedDiscount,
        // A price book without this setting takes off the share.
        unsaid: 'shared',
        options: [
          { value: 'shared', label: t.discountShared, hint: t.discountSharedHint },
          { value: 'full', label: t.discountFull, hint: t.discountFullHint },
        ],
      },
      {
        path: 'rounding',
        label: t.amountRounding,
        options: [
          { value: 'half_up', label: t.roundingUp },
          { value: 'half_down', label: t.roundingDown },
          { value: 'half_away', label: t.roundingAway, hint: t.roundingAwayHint },
        ],
      },
    ],
  },
  {
    title: t.storage,
    of: 'terms',
    fields: [
      { path: 'storage.free_days', label: t.storageFree, as: 'whole' },
      { path: 'storage.per_day_minor', label: t.storagePerDay, as: 'money' },
      { path: 'storage.cap_minor', label: t.storageMost, as: 'maybe-money' },
    ],
  },
  {
    title: t.deposit,
    of: 'terms',
    fields: [
      { path: 'deposit.percent', label: t.depositPercent, as: 'decimal' },
      { path: 'deposit.rounding_to_minor', label: t.depositStep, hint: t.depositStepHint, as: 'money' },
      { path: 'deposit.fixed_minor', label: t.depositFixed, hint: t.depositFixedHint, as: 'maybe-money' },
      { path: 'deposit.from_total_minor', label: t.depositFrom, as: 'money' },
    ],
    choices: [
      {
        path: 'deposit.of',
        label: t.depositOf,
        options: [
          { value: 'parts', label: t.partLines },
          { value: 'total', label: en.quote.totals.total },
        ],
      },
    ],
  },
]

function ratesPart(book: ShopPrices): PriceSection {
  return {
    title: t.rates,
    of: 'labor_rates',
    adds: ['labor_rates'],
    ...(book.labor_rates.length > 1 && { drops: 'labor_rates' }),
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

const TRAVEL_UNIT: PriceChoice = {
  path: 'travel.unit',
  label: t.travelUnit,
  options: [
    { value: 'mi', label: t.miles },
    { value: 'km', label: t.kilometers },
  ],
}

function travelPart({ travel }: ShopPrices): PriceSection {
  const unit = en.quote.line.unit[travel.unit]
  return {
    title: t.travel,
    ...(travel.mode === 'zone' && { adds: ['travel.zones'] }),
    choices: [
      {
        path: 'travel.mode',
        label: t.travelMode,
        options: [
          { value: 'distance', label: t.byDistance },
          { value: 'zone', label: t.byZone },
        ],
      },
      ...(travel.mode === 'distance' ? [TRAVEL_UNIT] : []),
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

type TaxProfile = ShopPrices['tax_profiles'][number]

/** What is taxed, at what rate; and its name, days and rounding, where there is anything to say of them. */
function taxParts(profile: TaxProfile, at: number, { tax_profiles: all }: ShopPrices): PriceSection[] {
  const path = `tax_profiles.${at}`
  const taxed = (field: string, label: string) => ({ value: `${path}.${field}`, label })
  const { rates } = profile
  const main: PriceSection = {
    title: t.taxOf(rates.length ? profile.label || profile.key : t.shapes.none),
    of: 'tax_profiles',
    profile: at,
    bill: titleOf(t.bill, profile, all),
    adds: [`${path}.rates`],
    ...(rates.length > 0 && { drops: `${path}.rates` }),
    fields: rates.flatMap((_, rate) => [
      { path: `${path}.rates.${rate}.label`, label: t.taxRateName, as: 'words' as const },
      { path: `${path}.rates.${rate}.percent`, label: t.taxRate, as: 'decimal' as const },
    ]),
  }
  if (!rates.length) return all.length > 1 ? [main, taxDetails(profile, path, all)] : [main]
  const choices = [
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
  ]
  const checks = {
    label: t.taxed,
    options: [
      taxed('part', t.partLines),
      taxed('supplies', t.supplies),
      taxed('travel', t.travel),
      taxed('fee', t.fees),
    ],
  }
  return [
    { ...main, choices: [...rateKinds(profile, path), ...choices], checks },
    taxDetails(profile, path, all),
  ]
}

const WORK = ['labor', 'travel', 'fee']
const GOODS = ['part', 'supplies']

/** Of several rates, what each is for: everything that is taxed, or some kinds of line, so that an invoice has two. */
function rateKinds({ rates }: TaxProfile, path: string): PriceChoice[] {
  if (rates.length < 2) return []
  return rates.map(({ label, of }, at) => {
    const kinds = [WORK, GOODS].map((known) => ({
      value: String(known),
      label: t.rateFor[known === WORK ? 'work' : 'goods'],
    }))
    const own = of == null || kinds.some(({ value }) => value === String(of)) ? [] : [of]
    const others = own.map((one) => ({
      value: String(one),
      label: one.map((kind) => en.quote.kinds[kind]).join(', '),
    }))
    return {
      path: `${path}.rates.${at}.of`,
      label: t.rateOf(label),
      unsaid: EVERYTHING,
      list: true as const,
      options: [{ value: EVERYTHING, label: t.rateFor.all }, ...kinds, ...others],
    }
  })
}

/** The choice of a rate that is for everything that is taxed. */
export const EVERYTHING = 'all'

/** The title of a part of one tax profile; of several, each is named. */
const titleOf = (title: string, { label, key }: TaxProfile, all: readonly TaxProfile[]): string =>
  all.length > 1 ? `${title}: ${label || key}` : title

function taxDetails(profile: TaxProfile, path: string, all: readonly TaxProfile[]): PriceSection {
  return {
    title: titleOf(t.taxDetails, profile, all),
    of: 'tax_profiles',
    ...(profile === all.at(-1) && { adds: ['tax_profiles'] }),
    fields: [
      { path: `${path}.label`, label: t.taxName, as: 'words' },
      { path: `${path}.from_on`, label: t.taxFrom, as: 'day' },
      { path: `${path}.until_on`, label: t.taxUntil, as: 'maybe-day' },
    ],
    choices: [
      {
        path: `${path}.per`,
        label: t.per,
        options: [
          { value: 'invoice', label: t.perWhole },
          { value: 'line', label: t.perLine },
        ],
      },
      {
        path: `${path}.rounding`,
        label: t.rounding,
        options: [
          { value: 'half_up', label: t.roundingUp },
          { value: 'half_down', label: t.roundingDown },
        ],
      },
      ...roundingOf(profile, path),
    ],
  }
}

/** Several tax rates are rounded one by one or together; with a single rate there is no choice. */
function roundingOf(profile: TaxProfile, path: string): PriceChoice[] {
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

/** The option that is chosen at a path of the price book; undefined where none is. */
export const optionAt = (book: ShopPrices, { path, options, unsaid }: PriceChoice) =>
  options.find(({ value }) => value === String(valueAt(book, path) ?? unsaid))

/** An option's value as a value of the price book. */
export function chosenAt({ list }: PriceChoice, value: string): string | boolean | readonly string[] | null {
  if (list) return value === EVERYTHING ? null : value.split(',')
  return value === 'true' || (value === 'false' ? false : value)
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
  // A part that a price book of an earlier version lacks is made.
  const parent = steps.reduce<unknown>((at, step) => {
    const within = at as Record<string, unknown>
    within[step] ??= {}
    return within[step]
  }, copy)
  ;(parent as Record<string, unknown>)[last] = value
  return copy
}

/** What was typed elsewhere than under a path. */
export const typedOutside = (typed: Record<string, string>, path: string): Record<string, string> =>
  Object.fromEntries(Object.entries(typed).filter(([each]) => !each.startsWith(path)))

/** The price book with what was typed, and the errors by path. */
export function parsePriceBook(
  { prices, typed }: PricesFormFields,
  figures: NumberFormats,
): { whole: ShopPrices; faults: Record<string, string> } {
  const faults: Record<string, string> = {}
  let whole = prices
  for (const { path, as } of partsOf(prices, figures).flatMap((part) => part.fields)) {
    const text = typed[path]
    if (text === undefined) continue
    const value = readAt(text, as, figures)
    if (value === undefined) faults[path] = as.endsWith('money') ? badAmount() : en.quote.line.missingNumber
    else whole = withAt(whole, path, value)
  }
  if (!Object.keys(faults).length) for (const { field, words } of checkBook(whole)) faults[field] = words
  return { whole, faults }
}
