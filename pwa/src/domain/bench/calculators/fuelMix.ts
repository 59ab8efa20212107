/** Oil for a two-stroke mix: the fuel divided by the ratio. Twin of `bench/rules/calculators/fuel_mix.py`. */
import { exact, over, plus } from '../../numbers/decimal.ts'
import { type Calculation, type Calculator, figureIn, figureOf, type Given, si } from './answers.ts'

function mix(given: Given): Calculation {
  const [fuel, ratio] = [figureOf(given, 'fuel'), figureOf(given, 'ratio')]
  const oil = over(si(fuel), ratio.value)
  const share = { value: over(exact(100), ratio.value), unit: '%' }
  return {
    results: {
      oil_ml: figureIn('mL', oil),
      oil_fl_oz: figureIn('fl oz', oil),
      mixed: figureIn(fuel.unit, plus(si(fuel), oil)),
    },
    steps: [
      { code: 'oil', figures: { fuel, ratio, oil: figureIn(fuel.unit, oil) } },
      { code: 'oil_share', figures: { share } },
    ],
    verdict: '',
  }
}

export const FUEL_MIX: Calculator = {
  inputs: [
    { name: 'fuel', quantities: ['volume'] },
    // Ratios in use are from 16 to 100; 1 : 10 was used long ago.
    { name: 'ratio', low: exact(10), high: exact(200) },
  ],
  calculate: mix,
  sources: ['fuel_practice'],
  makerFirst: true,
}
