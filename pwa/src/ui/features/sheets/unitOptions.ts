import type { Quantity } from '../../../domain/contract'
import { UNITS } from '../../../domain/numbers/quantities'
import { shop } from '../../../store/shop'

/** All units to choose from; the quantity of a limit follows from its unit. */
export const unitOptions = (quantity?: Quantity): [string, string][] =>
  [...UNITS]
    .filter(([, unit]) => !quantity || unit.quantity === quantity)
    .map(([key, { symbol }]) => [key, symbol])

/** The unit of lengths and of torques in the shop's system, to begin with. */
export const lengthUnit = (): string => (shop.value?.units === 'us' ? 'in' : 'mm')
export const torqueUnit = (): string => (shop.value?.units === 'us' ? 'lbf.ft' : 'N.m')
