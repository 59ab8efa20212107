/**
 * The price book of a shop, and the part of it that each quote stores as its basis.
 *
 * A quote's basis is the price book of the day with exactly one tax profile, the one valid on that day.
 * Amounts are minor units of the book's currency; percentages are percents ("6.25" is 6.25 %).
 * The fields are explained in the twin, `shopapi/quotes/rules/price_book.py`.
 */
import {
  type DepositRuleInput,
  type LaborRateInput,
  type PartBand,
  RULES_VERSION,
  type ShopPricesInput,
  type StorageInput,
  type Supplies,
  TAXED_KINDS,
  type TaxProfileInput,
  type TaxRateInput,
  type Travel,
  type Zone,
} from '../contract.ts'
import type { Day } from '../time.ts'
import {
  currency,
  day,
  decimal,
  key,
  label,
  listOf,
  omissible,
  oneOf,
  optional,
  orNull,
  record,
  text,
  uuid,
  whole,
  yesOrNo,
} from '../validation/shape.ts'

export type ShopPrices = ShopPricesInput

export const price = whole(0, 10 ** 9, 'money_out_of_range')
export const percent = decimal(0, 100, 'percent_out_of_range')
export const distance = decimal(0, 10_000, 'distance_out_of_range')
const rounding = oneOf('half_up', 'half_down', 'half_away')

/** The form of a price book, field by field; `checkBook` also looks across fields. */
export const bookForm = record<ShopPrices>({
  currency,
  minor_digits: whole(0, 4, 'digits_wrong'),
  rounding,
  labor_rates: listOf(
    record<LaborRateInput>({
      key,
      label,
      minor_per_hour: price,
      member_id: optional(uuid),
      work: optional(key),
    }),
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
  deposit: record<DepositRuleInput>({
    percent,
    of: oneOf('parts', 'total'),
    from_total_minor: price,
    rounding_to_minor: whole(1, 1_000_000, 'step_out_of_range'),
    fixed_minor: optional(price),
  }),
  tolerance_percent: percent,
  terms: text(4000),
  valid_days: whole(1, 365, 'valid_days_out_of_range'),
  tax_profiles: listOf(
    record<TaxProfileInput>({
      key,
      label,
      from_on: day,
      until_on: orNull(day),
      inclusive: yesOrNo,
      per: oneOf('line', 'invoice'),
      rounding,
      rates: listOf(
        record<TaxRateInput>({ key, label, percent, of: optional(listOf(oneOf(...TAXED_KINDS))) }),
      ),
      rates_rounded: omissible(oneOf('together', 'each')),
      labor: oneOf('always', 'when_parts_supplied', 'never_when_separate'),
      part: yesOrNo,
      supplies: yesOrNo,
      travel: yesOrNo,
      fee: yesOrNo,
      lumped: yesOrNo,
    }),
  ),
  storage: omissible(
    record<StorageInput>({
      free_days: omissible(whole(0, 365, 'free_days_out_of_range')),
      per_day_minor: omissible(price),
      cap_minor: optional(price),
    }),
  ),
  fixed_discount: omissible(oneOf('shared', 'full')),
  rules_version: omissible(whole(1, RULES_VERSION, 'rules_version_unknown')),
})

/** The tax profile valid on a day; null if there is none. */
export function profileOn(profiles: readonly TaxProfileInput[], on: Day): TaxProfileInput | null {
  const holds = ({ from_on, until_on }: TaxProfileInput) =>
    from_on <= on && (until_on === null || on <= until_on)
  return profiles.find(holds) ?? null
}

/**
 * The basis of a quote written on a day: the book with the tax profile valid then and the current rules version. Null
 * if no tax profile is valid on that day.
 */
export function basisOn(book: ShopPrices, on: Day): ShopPrices | null {
  const profile = profileOn(book.tax_profiles, on)
  return profile && { ...book, tax_profiles: [profile], rules_version: RULES_VERSION }
}
