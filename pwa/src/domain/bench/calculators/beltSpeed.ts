/** Speed of a driven pulley and of the belt, without slip. Twin of `bench/rules/calculators/belt_speed.py`. */
import { over, times } from '../../numbers/decimal.ts'
import {
  type Calculation,
  type Calculator,
  figureIn,
  figureOf,
  type Given,
  PI,
  plain,
  si,
} from './answers.ts'

function drive(given: Given): Calculation {
  const [driver, driven, speed] = [
    figureOf(given, 'driver'),
    figureOf(given, 'driven'),
    figureOf(given, 'speed'),
  ]
  const ratio = plain(over(si(driver), si(driven)))
  const turns = figureIn('rpm', times(si(speed), ratio.value))
  const belt = times(PI, times(si(driver), si(speed)))
  const perSecond = figureIn('m/s', belt)
  return {
    results: {
      driven_speed: turns,
      belt_ft_min: figureIn('ft/min', belt),
      belt_m_s: perSecond,
      turn_ratio: ratio,
    },
    steps: [
      { code: 'pulley_ratio', figures: { driver, driven, ratio } },
      { code: 'driven_speed', figures: { speed, ratio, driven_speed: turns } },
      { code: 'belt_speed', figures: { driver, speed, belt: perSecond } },
    ],
    verdict: '',
  }
}

export const BELT_SPEED: Calculator = {
  inputs: [
    { name: 'driver', quantities: ['length'] },
    { name: 'driven', quantities: ['length'] },
    { name: 'speed', quantities: ['rotation'] },
  ],
  calculate: drive,
  sources: ['pulley_arithmetic'],
  makerFirst: true,
}
