/**
 * What to set a torque wrench to with an adapter on it: T_set = T * L / (L + E * cos a).
 * Twin of `bench/rules/calculators/wrench_adapter.py`, which names the sources.
 */
import { compare, type Exact, exact, over, plus, times } from '../../numbers/decimal.ts'
import {
  type Calculation,
  type Calculator,
  figureIn,
  figureOf,
  type Given,
  InputFault,
  PI,
  si,
} from './answers.ts'

const DIGITS_18 = 10n ** 18n
const DIGITS_12 = 10n ** 12n

/** n / d rounded down, also below zero. */
function floorOf({ n, d }: Exact): bigint {
  const cut = n / d
  return cut * d > n ? cut - 1n : cut
}

/** The cosine of 0 to 180 degrees to 12 decimal places, by its series: the server gets the same figure. */
export function cosine(degrees: Exact): Exact {
  const cut = (value: Exact): Exact => ({ n: floorOf(times(value, { n: DIGITS_18, d: 1n })), d: DIGITS_18 })
  const angle = cut(over(times(degrees, PI), exact(180)))
  let term = exact(1)
  let total = exact(1)
  for (let k = 1; k < 16; k++) {
    const { n, d } = times(term, times(angle, angle))
    term = cut(over({ n: -n, d }, exact((2 * k - 1) * 2 * k)))
    total = plus(total, term)
  }
  return { n: floorOf(plus(times(total, { n: DIGITS_12, d: 1n }), { n: 1n, d: 2n })), d: DIGITS_12 }
}

function setWrench(given: Given): Calculation {
  const [torque, wrench, adapter] = [
    figureOf(given, 'torque'),
    figureOf(given, 'wrench'),
    figureOf(given, 'adapter'),
  ]
  const { angle } = given.figures
  const whole = plus(si(wrench), times(si(adapter), angle ? cosine(si(angle)) : exact(1)))
  // Shorter than half the wrench, pointing back: no wrench is used like that, the lengths are mixed up.
  if (compare(whole, over(si(wrench), exact(2))) < 0) throw new InputFault('adapter', 'adapter_too_long')
  const setting = figureIn(torque.unit, over(times(si(torque), si(wrench)), whole))
  const length = figureIn(wrench.unit, whole)
  return {
    results: { setting },
    steps: [
      { code: 'length_with_adapter', figures: { wrench, adapter, length } },
      { code: 'setting', figures: { torque, wrench, length, setting } },
    ],
    verdict: '',
  }
}

export const WRENCH_ADAPTER: Calculator = {
  inputs: [
    { name: 'torque', quantities: ['torque'] },
    { name: 'wrench', quantities: ['length'] },
    { name: 'adapter', quantities: ['length'] },
    { name: 'angle', quantities: ['angle'], optional: true, low: exact(0), high: exact(180) },
  ],
  calculate: setWrench,
  sources: ['wrench_makers', 'tm_9_254'],
  makerFirst: true,
}
