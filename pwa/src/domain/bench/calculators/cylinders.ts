/**
 * Compression of two cylinders beside each other, and leak-down of one. Twin of `bench/rules/calculators/cylinders.py`,
 * which names the sources.
 */
import { compare, exact, minus, over } from '../../numbers/decimal.ts'
import {
  type Calculation,
  type Calculator,
  figureIn,
  figureOf,
  type Given,
  InputFault,
  si,
} from './answers.ts'

const ALIKE = exact('0.9')
const LEAST = exact('0.75')
const USUAL = exact('0.12')
const WORN = exact('0.2')

function compareCylinders(given: Given): Calculation {
  const [one, two] = [figureOf(given, 'cylinder_1'), figureOf(given, 'cylinder_2')]
  const [low, high] = compare(si(one), si(two)) <= 0 ? [one, two] : [two, one]
  const share = over(si(low), si(high))
  const ratio = figureIn('%', share)
  const difference = figureIn(one.unit, minus(si(high), si(low)))
  const within = compare(share, ALIKE) >= 0 ? 'alike' : compare(share, LEAST) >= 0 ? 'apart' : 'far_apart'
  return {
    results: { ratio, difference },
    steps: [
      { code: 'low_of_high', figures: { low, high, ratio } },
      { code: 'difference', figures: { low, high, difference } },
    ],
    verdict: within,
  }
}

export const COMPRESSION: Calculator = {
  inputs: [
    { name: 'cylinder_1', quantities: ['pressure'] },
    { name: 'cylinder_2', quantities: ['pressure'] },
  ],
  calculate: compareCylinders,
  sources: ['compression_practice'],
  makerFirst: true,
}

function judgeLeak(given: Given): Calculation {
  const [supplied, held] = [figureOf(given, 'supplied'), figureOf(given, 'held')]
  if (compare(si(held), si(supplied)) > 0) throw new InputFault('held', 'held_above_supplied')
  const share = over(minus(si(supplied), si(held)), si(supplied))
  const leak = figureIn('%', share)
  const band =
    compare(share, USUAL) <= 0 ? 'leak_usual' : compare(share, WORN) <= 0 ? 'leak_worn' : 'leak_find'
  return { results: { leak }, steps: [{ code: 'leak', figures: { supplied, held, leak } }], verdict: band }
}

export const LEAK_DOWN: Calculator = {
  inputs: [
    { name: 'supplied', quantities: ['pressure'] },
    { name: 'held', quantities: ['pressure'], low: exact(0) },
  ],
  calculate: judgeLeak,
  sources: ['leak_down_practice'],
  makerFirst: true,
}
