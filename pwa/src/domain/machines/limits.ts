import type { Limit } from '../contract.ts'
import { compare, type Exact, exact, minus, plus } from '../numbers/decimal.ts'
import { toSi, UNITS } from '../numbers/quantities.ts'
import type { Fault } from '../validation/fieldFaults.ts'

/**
 * Limits: what a measured value has to be, with its unit as printed; compared by values in SI units. Twin:
 * `shopapi/machines/rules/limits.py`; both run `fixtures/machines/limits.json`.
 */
export type LimitFigures = Pick<Limit, 'unit' | 'nominal' | 'tolerance' | 'low' | 'high'>

/** A limit as it was when something was measured against it; later changes leave this copy alone. */
export type LimitSnapshot = LimitFigures &
  Pick<Limit, 'what' | 'quantity' | 'condition' | 'manual' | 'page' | 'critical' | 'version'> & {
    readonly limit_id: string
  }

/** The copy of a limit that is stored with a reading. */
export function limitSnapshot(limit: Limit): LimitSnapshot {
  const {
    id,
    what,
    quantity,
    unit,
    nominal,
    tolerance,
    low,
    high,
    condition,
    manual,
    page,
    critical,
    version,
  } = limit
  return {
    what,
    quantity,
    unit,
    nominal,
    tolerance,
    low,
    high,
    condition,
    manual,
    page,
    critical,
    limit_id: id,
    version,
  }
}

type Bounds = readonly [low: Exact | null, high: Exact | null]

const figure = (typed: string): Exact | null => (typed ? exact(typed) : null)

/** The lowest and the highest value that are within a limit, in its unit; null: open on that side. */
export function boundsOf({ nominal, tolerance, low, high }: LimitFigures): Bounds {
  if (!nominal || !tolerance) return [figure(low), figure(high)]
  return [minus(exact(nominal), exact(tolerance)), plus(exact(nominal), exact(tolerance))]
}

/** As `boundsOf`, in the base unit of the quantity. */
export function boundsInSi(limit: LimitFigures): Bounds {
  const [low, high] = boundsOf(limit)
  return [low && toSi(low, limit.unit), high && toSi(high, limit.unit)]
}

/** A figure as typed, in the unit beside it. */
const AMOUNT = /^(-?[0-9]{1,9}(\.[0-9]{1,6})?)?$/
export const isAmount = (typed: string): boolean => AMOUNT.test(typed)

/** What is wrong with a limit as a whole, by field; empty: nothing. */
export function faultsOfLimit(limit: LimitFigures & Pick<Limit, 'quantity'>): Fault[] {
  const faults: Fault[] = []
  if (UNITS.get(limit.unit)?.quantity !== limit.quantity)
    faults.push({ field: 'unit', code: 'unit_of_another_quantity' })
  if (limit.tolerance) faults.push(...toleranceFaults(limit))
  else if (!limit.nominal && !limit.low && !limit.high) faults.push({ field: 'nominal', code: 'limit_empty' })
  else faults.push(...orderFaults(limit))
  return faults
}

function toleranceFaults(limit: LimitFigures): Fault[] {
  const faults: Fault[] = []
  if (!limit.nominal) faults.push({ field: 'nominal', code: 'tolerance_of_nothing' })
  if (exact(limit.tolerance).n < 0n) faults.push({ field: 'tolerance', code: 'tolerance_negative' })
  for (const field of ['low', 'high'] as const) if (limit[field]) faults.push({ field, code: 'limit_twice' })
  return faults
}

function orderFaults(limit: LimitFigures): Fault[] {
  const [low, nominal, high] = [figure(limit.low), figure(limit.nominal), figure(limit.high)]
  if (low && high && compare(low, high) > 0) return [{ field: 'high', code: 'limit_upside_down' }]
  const outside = nominal && ((low && compare(nominal, low) < 0) || (high && compare(nominal, high) > 0))
  return outside ? [{ field: 'nominal', code: 'nominal_outside' }] : []
}
