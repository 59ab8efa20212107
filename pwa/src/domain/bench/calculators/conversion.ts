/** One value in every other unit of its quantity. Twin of `bench/rules/calculators/conversion.py`. */

import type { Quantity } from '../../contract.ts'
import { exact } from '../../numbers/decimal.ts'
import { UNITS, unitsOf } from '../../numbers/quantities.ts'
import {
  type Calculation,
  type Calculator,
  type Figure,
  figureIn,
  figureOf,
  type Given,
  plain,
  si,
} from './answers.ts'

/** The unit that is most often wanted, which is shown first; by default the first other one of the list. */
const WANTED: Readonly<Record<string, string>> = {
  mm: 'in',
  'mm/100': 'thou',
  cm: 'in',
  m: 'ft',
  km: 'mi',
  in: 'mm',
  thou: 'mm',
  ft: 'm',
  mi: 'km',
  N: 'lbf',
  kPa: 'psi',
  bar: 'psi',
  mL: 'fl oz',
  L: 'qt',
  qt: 'L',
  gal: 'L',
  g: 'oz',
  kg: 'lb',
  lb: 'kg',
  s: 'min',
  h: 'min',
  'm/s': 'ft/min',
  'km/h': 'mph',
  mph: 'km/h',
  kW: 'hp',
  hp: 'kW',
}
/** Of units whose zero is elsewhere: the step that says the formula. */
const FORMULAS: Readonly<Record<string, string>> = { degF: 'to_celsius', degC: 'to_fahrenheit' }
const QUANTITIES = [...new Set([...UNITS.values()].map(({ quantity }) => quantity))].filter(
  (quantity) => unitsOf(quantity).length > 1,
)

function convertAll(given: Given): Calculation {
  const value = figureOf(given, 'value')
  const quantity = UNITS.get(value.unit)?.quantity as Quantity
  const others = unitsOf(quantity).filter((key) => key !== value.unit)
  const wanted = WANTED[value.unit]
  const ordered = others.toSorted((a, b) => Number(b === wanted) - Number(a === wanted))
  const results = Object.fromEntries(ordered.map((key) => [`in_${key}`, figureIn(key, si(value))]))
  const [first = ''] = ordered
  const other = figureIn(first, si(value))
  const one: Figure = { value: exact(1), unit: value.unit }
  const formula = FORMULAS[value.unit]
  const step = formula
    ? { code: formula, figures: { value, other } }
    : { code: 'one_is', figures: { one, factor: figureIn(first, si(one)), value, other } }
  return { results, steps: [step], verdict: '' }
}

export const CONVERSION: Calculator = {
  // Any sign: a temperature may be below zero.
  inputs: [{ name: 'value', quantities: QUANTITIES, low: plain(-(10 ** 12)).value }],
  calculate: convertAll,
  sources: ['nist_sp_811'],
  makerFirst: false,
}
