import { describe, expect, test } from 'vitest'
import { numberFormatsFor } from '../../../domain/numbers/formats'
import type { ShopPrices } from '../../../domain/quotes/book'
import type { WrittenLine } from '../../../domain/quotes/lines'
import { priceLine } from '../../../domain/quotes/prices'
import { en } from '../../../domain/words/index'
import { badAmount } from '../../badAmount'
import { stepNumber } from '../../features/quotes/stepNumber'
import { blankLine, parseLine, toLineFormFields } from './lineFormFields'

const us = numberFormatsFor('en-US', 'USD', 'America/Boise')
const de = numberFormatsFor('de-DE', 'EUR', 'Europe/Berlin')

const book: ShopPrices = {
  currency: 'USD',
  minor_digits: 2,
  rounding: 'half_up',
  labor_rates: [
    { key: 'bench', label: 'Bench', minor_per_hour: 9200 },
    { key: 'look', label: 'Looking', minor_per_hour: 8400, work: 'diagnosis' },
  ],
  labor_minimum_minor: 0,
  diagnosis_fee_minor: 6500,
  credit_diagnosis: true,
  part_bands: [{ up_to_minor: null, markup_percent: '40' }],
  supplies: { percent: '0', of: ['labor'], floor_minor: 0, cap_minor: null },
  travel: { mode: 'distance', minor_per_unit: 140, unit: 'mi', free_units: '5', minimum_minor: 0, zones: [] },
  deposit: { percent: '0', of: 'total', from_total_minor: 0, rounding_to_minor: 1 },
  tolerance_percent: '10',
  terms: '',
  valid_days: 21,
  tax_profiles: [],
}

const line = (
  fields: Partial<WrittenLine> & Pick<WrittenLine, 'kind'>,
): WrittenLine & { finding_id: string | null } => ({
  id: '0199aa00-0000-7000-8000-000000000001',
  position: 3,
  rank: 'advised',
  words: 'Words',
  included: '',
  finding_id: null,
  ...fields,
})

const OTHER = '0199aa00-0000-7000-8000-000000000002'

describe('a line survives formatting and parsing', () => {
  test.each<WrittenLine & { finding_id: string | null }>([
    line({ kind: 'labor', hours: '1.75', rate_key: 'look', work: 'diagnosis' }),
    line({ kind: 'labor', hours: '0.4', rate_key: null, work: 'repair', discount_percent: '12.5' }),
    line({ kind: 'labor', hours: '2', rate_key: null, work: 'repair', operation: 'deck belt' }),
    line({ kind: 'labor', fixed_minor: 12000, discount_minor: 500 }),
    line({ kind: 'part', quantity: '2', unit_cost_minor: 3140, core_minor: null }),
    line({ kind: 'part', quantity: '0.5', unit_price_minor: 123456, core_minor: 3000 }),
    line({ kind: 'labor', hours: '1', rate_key: null, work: 'repair', found: 'A crack', later_minor: 24000 }),
    line({ kind: 'travel', distance: '24.5', later_minor: 0 }),
    line({ kind: 'fee', fixed_minor: 1500 }),
    line({ kind: 'fee', work: 'diagnosis' }),
    line({ kind: 'fee', work: 'diagnosis', agreed: true }),
    line({ kind: 'part', quantity: '1', unit_price_minor: 900, core_minor: null, belongs_to_id: OTHER }),
    line({
      kind: 'part',
      quantity: '1',
      unit_price_minor: 900,
      core_minor: null,
      belongs_to_id: OTHER,
      apart: true,
    }),
    line({
      kind: 'part',
      part_number: 'BR-20',
      quantity: '1',
      unit_price_minor: 900,
      core_minor: null,
      taxed: false,
    }),
    line({ kind: 'supplies', fixed_minor: 900, taxed: true }),
    line({ kind: 'discount', discount_percent: '5' }),
    line({ kind: 'discount', discount_minor: 2500 }),
  ])('%o', (seen) => {
    for (const read of [us, de]) {
      const typed = toLineFormFields(seen, blankLine(seen.kind, book), read)
      const { id, position, finding_id, ...figures } = seen
      const asked = {
        ...(/labor|part/.test(seen.kind) && { belongs_to_id: null, apart: null }),
        ...(seen.kind === 'part' && { part_number: null }),
        ...(/travel|fee/.test(seen.kind) && { agreed: null }),
      }
      expect(parseLine(seen.kind, typed, book, read)).toEqual({
        figures: { ...asked, ...figures },
        faults: null,
      })
    }
  })
})

test('new hours leave the kind of work, and so the rate, alone; another rate changes it', () => {
  const electrical = { key: 'electrical', label: 'Electrical', minor_per_hour: 10200, work: 'electrical' }
  const rates = { ...book, labor_rates: [...book.labor_rates, electrical] }
  const seen = line({ kind: 'labor', hours: '1', rate_key: null, work: 'electrical' })
  const typed = { ...toLineFormFields(seen, blankLine('labor', rates), us), hours: '2' }
  const saved = parseLine('labor', typed, rates, us).figures
  expect(saved).toMatchObject({ hours: '2', rate_key: null, work: 'electrical' })
  expect(priceLine(rates, { id: OTHER, position: 1, ...(saved as NonNullable<typeof saved>) })?.amount).toBe(
    20400,
  )
  expect(parseLine('labor', { ...typed, rateKey: 'look' }, rates, us).figures?.work).toBe('diagnosis')
  expect(parseLine('labor', { ...typed, rateKey: 'bench' }, rates, us).figures?.work).toBe('repair')
})

test('unparsable input has an error at its field that says what to do', () => {
  const typed = {
    ...blankLine('part', book),
    priced: 'cost' as const,
    quantity: 'two',
    unitCost: '1.234.5',
    core: '-3',
  }
  expect(parseLine('part', typed, book, us)).toEqual({
    figures: null,
    faults: {
      words: en.quote.line.missingWords,
      quantity: en.quote.line.missingNumber,
      unitCost: badAmount(),
      core: badAmount(),
    },
  })
})

test('a new part is what, how many and a price; its number is left out while it is empty', () => {
  const typed = { ...blankLine('part', book), words: 'Brush set', price: '14.00' }
  expect(parseLine('part', typed, book, us).figures).toMatchObject({
    quantity: '1',
    unit_price_minor: 1400,
    part_number: null,
  })
  expect(parseLine('part', { ...typed, partNumber: ' BR-20 ' }, book, us).figures?.part_number).toBe('BR-20')
})

test.each([
  ['1', 0.25, '1.25'],
  ['1.1', 0.25, '1.25'],
  ['1.1', -0.25, '1'],
  ['0.25', -0.25, '0'],
  ['0', -0.25, '0'],
  ['', 0.25, '0.25'],
  ['nonsense', 1, '1'],
  ['2', -1, '1'],
])('a step from %s by %d gives %s', (typed, step, next) => expect(stepNumber(typed, step, us)).toBe(next))

test('a price of zero that nobody entered is not quoted', () => {
  const unpriced = {
    ...book,
    diagnosis_fee_minor: 0,
    travel: { ...book.travel, minor_per_unit: 0, free_units: '0' },
  }
  const travel = { ...blankLine('travel', unpriced), words: 'Round trip', distance: '18' }
  expect(parseLine('travel', travel, unpriced, us).faults).toEqual({
    distance: en.quote.line.noTravelPrice,
  })
  expect(parseLine('travel', travel, book, us).faults).toBe(null)
  const fee = { ...blankLine('fee', unpriced), words: 'Diagnosis', priced: 'book' as const }
  expect(parseLine('fee', fee, unpriced, us).faults).toEqual({ priced: en.quote.line.noDiagnosisFee })
  expect(parseLine('fee', fee, book, us).faults).toBe(null)
})
