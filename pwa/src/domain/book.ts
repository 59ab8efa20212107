/**
 * The price book: what a shop sets, and what each quote keeps of it as its basis.
 *
 * A quote's basis is the price book of the day with exactly one tax profile, the one valid on that day.
 * Amounts are minor units of the book's currency; percentages are percents ("6.25" is 6.25 %).
 * What each field means is told in the twin, `shopapi/quotes/rules/book.py`.
 */
import type { DecimalText } from './decimal.ts'
import type { Minor, Rounding } from './money.ts'
import {
  currency,
  day,
  decimal,
  key,
  label,
  listOf,
  oneOf,
  optional,
  orNull,
  record,
  text,
  uuid,
  whole,
  yesOrNo,
} from './shape.ts'
import type { Day } from './time.ts'

export interface LaborRate {
  readonly key: string
  readonly label: string
  readonly minor_per_hour: Minor
  readonly member_id?: string | null
  readonly work?: string | null
}

export interface PartBand {
  readonly up_to_minor: Minor | null
  readonly markup_percent: DecimalText
}

export interface Supplies {
  readonly percent: DecimalText
  readonly of: readonly ('labor' | 'part')[]
  readonly floor_minor: Minor
  readonly cap_minor: Minor | null
}

export interface Zone {
  readonly key: string
  readonly label: string
  readonly minor: Minor
}

export interface Travel {
  readonly mode: 'distance' | 'zone'
  readonly minor_per_unit: Minor
  readonly unit: 'mi' | 'km'
  readonly free_units: DecimalText
  readonly minimum_minor: Minor
  readonly zones: readonly Zone[]
}

export interface DepositRule {
  readonly percent: DecimalText
  readonly of: 'parts' | 'total'
  readonly from_total_minor: Minor
  readonly rounding_to_minor: number
}

export interface TaxRate {
  readonly key: string
  readonly label: string
  readonly percent: DecimalText
}

export interface TaxProfile {
  readonly key: string
  readonly label: string
  readonly from_on: Day
  readonly until_on: Day | null
  readonly inclusive: boolean
  readonly per: 'line' | 'invoice'
  readonly rounding: Rounding
  readonly rates: readonly TaxRate[]
  readonly labor: 'always' | 'when_parts_supplied' | 'never_when_separate'
  readonly part: boolean
  readonly supplies: boolean
  readonly travel: boolean
  readonly fee: boolean
  readonly lumped: boolean
}

export interface PriceBook {
  readonly currency: string
  readonly minor_digits: number
  readonly rounding: Rounding
  readonly labor_rates: readonly LaborRate[]
  readonly labor_minimum_minor: Minor
  readonly diagnosis_fee_minor: Minor
  readonly credit_diagnosis: boolean
  readonly part_bands: readonly PartBand[]
  readonly supplies: Supplies
  readonly travel: Travel
  readonly deposit: DepositRule
  readonly tolerance_percent: DecimalText
  readonly terms: string
  readonly valid_days: number
  readonly tax_profiles: readonly TaxProfile[]
}

export const price = whole(0, 10 ** 9, 'money_out_of_range')
export const percent = decimal(0, 100, 'percent_out_of_range')
export const distance = decimal(0, 10_000, 'distance_out_of_range')
const rounding = oneOf('half_up', 'half_down', 'half_away')

/** The form of a price book, field by field; `checkBook` also looks across fields. */
export const bookForm = record<PriceBook>({
  currency,
  minor_digits: whole(0, 3, 'digits_wrong'),
  rounding,
  labor_rates: listOf(
    record<LaborRate>({ key, label, minor_per_hour: price, member_id: optional(uuid), work: optional(key) }),
  ),
  labor_minimum_minor: price,
  diagnosis_fee_minor: price,
  credit_diagnosis: yesOrNo,
  part_bands: listOf(
    record<PartBand>({
      up_to_minor: orNull(price),
      markup_percent: decimal(0, 1000, 'markup_out_of_range'),
    }),
  ),
  supplies: record<Supplies>({
    percent,
    of: listOf(oneOf('labor', 'part')),
    floor_minor: price,
    cap_minor: orNull(price),
  }),
  travel: record<Travel>({
    mode: oneOf('distance', 'zone'),
    minor_per_unit: price,
    unit: oneOf('mi', 'km'),
    free_units: distance,
    minimum_minor: price,
    zones: listOf(record<Zone>({ key, label, minor: price })),
  }),
  deposit: record<DepositRule>({
    percent,
    of: oneOf('parts', 'total'),
    from_total_minor: price,
    rounding_to_minor: whole(1, 1_000_000, 'step_out_of_range'),
  }),
  tolerance_percent: percent,
  terms: text(4000),
  valid_days: whole(1, 365, 'valid_days_out_of_range'),
  tax_profiles: listOf(
    record<TaxProfile>({
      key,
      label,
      from_on: day,
      until_on: orNull(day),
      inclusive: yesOrNo,
      per: oneOf('line', 'invoice'),
      rounding,
      rates: listOf(record<TaxRate>({ key, label, percent })),
      labor: oneOf('always', 'when_parts_supplied', 'never_when_separate'),
      part: yesOrNo,
      supplies: yesOrNo,
      travel: yesOrNo,
      fee: yesOrNo,
      lumped: yesOrNo,
    }),
  ),
})

/** The tax profile valid on a day, or null where the shop has entered none for it. */
export function profileOn(profiles: readonly TaxProfile[], on: Day): TaxProfile | null {
  const holds = ({ from_on, until_on }: TaxProfile) => from_on <= on && (until_on === null || on <= until_on)
  return profiles.find(holds) ?? null
}

/**
 * The basis of a quote written on a day: the book with the one tax profile valid then. Null where the
 * shop has entered no tax profile for that day.
 */
export function basisOn(book: PriceBook, on: Day): PriceBook | null {
  const profile = profileOn(book.tax_profiles, on)
  return profile && { ...book, tax_profiles: [profile] }
}
