import type { ShopPrices } from '../../domain/quotes/book'

/** A small price book with one tax profile, as in the basis of a quote. */
export const basis: ShopPrices = {
  currency: 'USD',
  minor_digits: 2,
  rounding: 'half_up',
  labor_rates: [{ key: 'standard', label: 'Standard', minor_per_hour: 9000, member_id: null, work: null }],
  labor_minimum_minor: 0,
  diagnosis_fee_minor: 0,
  credit_diagnosis: true,
  part_bands: [{ up_to_minor: null, markup_percent: '40' }],
  supplies: { percent: '0', of: ['labor'], floor_minor: 0, cap_minor: null },
  travel: { mode: 'distance', minor_per_unit: 0, unit: 'mi', free_units: '0', minimum_minor: 0, zones: [] },
  deposit: { percent: '0', of: 'parts', from_total_minor: 0, rounding_to_minor: 1 },
  tolerance_percent: '0',
  terms: '',
  valid_days: 30,
  tax_profiles: [
    {
      key: 'none',
      label: 'No tax',
      from_on: '2020-01-01',
      until_on: null,
      inclusive: false,
      per: 'invoice',
      rounding: 'half_up',
      rates: [],
      labor: 'always',
      part: true,
      supplies: true,
      travel: true,
      fee: true,
      lumped: false,
    },
  ],
}
