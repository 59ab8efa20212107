/**
 * Coolant drained against coolant that went back in: air in the system shows as a shortfall. Twin of
 * `bench/rules/calculators/coolant.py`, which names the sources.
 */
import { compare, type Exact, exact, minus, over } from '../../numbers/decimal.ts'
import { type Calculation, type Calculator, figureIn, figureOf, type Given, si } from './answers.ts'

/** Of what was drained: up to this air is trapped; from this on it is full; above this it was low before. */
const TRAPPED = exact('0.65')
const FULL = exact('0.95')
const MORE = exact('1.05')

function verdictOf(share: Exact): string {
  if (compare(share, TRAPPED) <= 0) return 'air_trapped'
  if (compare(share, FULL) < 0) return 'not_full_yet'
  return compare(share, MORE) <= 0 ? 'full' : 'was_low'
}

function compareVolumes(given: Given): Calculation {
  const [drained, refilled] = [figureOf(given, 'drained'), figureOf(given, 'refilled')]
  const share = over(si(refilled), si(drained))
  const back = figureIn('%', share)
  const missing = figureIn(drained.unit, minus(si(drained), si(refilled)))
  return {
    results: { back, missing },
    steps: [
      { code: 'share_back', figures: { refilled, drained, back } },
      { code: 'missing', figures: { drained, refilled, missing } },
    ],
    verdict: verdictOf(share),
  }
}

export const COOLANT: Calculator = {
  inputs: [
    { name: 'drained', quantities: ['volume'] },
    { name: 'refilled', quantities: ['volume'], low: exact(0) },
  ],
  calculate: compareVolumes,
  sources: ['coolant_practice'],
  makerFirst: true,
}
