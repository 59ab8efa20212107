/** Figures that nobody typed, in the shop's units. For typed ones: `measures.ts`. */
import type { Units } from '../contract.ts'

const M_A_MILE = 1609.344
const KG_A_POUND = 0.45359237

/** Whole pounds or kilograms. */
export function weightIn(kg: number, units: Units): number {
  return Math.round(units === 'us' ? kg / KG_A_POUND : kg)
}

/** "12.4" miles or kilometres, as decimal text. */
export function farWords(metres: number, units: Units): string {
  return (metres / (units === 'us' ? M_A_MILE : 1000)).toFixed(1)
}
