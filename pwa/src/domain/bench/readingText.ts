/** Figures of a reading as text parts: in the unit that was read, never more digits than they carry. */
import type { DecimalText, Exact } from '../numbers/decimal.ts'
import { minus, over } from '../numbers/decimal.ts'
import { asShown, UNITS } from '../numbers/quantities.ts'

const DIGITS = 4

/** A value in the base unit as a figure of this unit. */
export function inUnit(si: Exact, unit: string): DecimalText {
  const found = UNITS.get(unit)
  return found ? asShown(over(minus(si, found.offset), found.factor), DIGITS) : ''
}

/** A span in the base unit, such as an uncertainty, as a figure of this unit: to two digits. */
export function spanInUnit(si: Exact, unit: string): DecimalText {
  const found = UNITS.get(unit)
  return found ? asShown(over(si, found.factor), 2) : ''
}
