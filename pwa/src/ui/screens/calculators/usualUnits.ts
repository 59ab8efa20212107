import type { Quantity, Units } from '../../../domain/contract'
import { unitsOf } from '../../../domain/numbers/quantities'

const USUAL: Partial<Readonly<Record<Quantity, readonly [us: string, metric: string]>>> = {
  length: ['in', 'mm'],
  torque: ['lbf.ft', 'N.m'],
  pressure: ['psi', 'bar'],
  temperature: ['degF', 'degC'],
  volume: ['gal', 'L'],
}

/** The unit in which a shop is most likely to type a quantity. */
export function usualUnit(quantity: Quantity, units: Units): string {
  const usual = USUAL[quantity]
  return usual?.[units === 'us' ? 0 : 1] ?? unitsOf(quantity)[0] ?? ''
}
