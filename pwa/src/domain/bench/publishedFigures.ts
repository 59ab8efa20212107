import type { RunTestKind } from '../contract.ts'
import type { MachineClass } from './runTests.ts'

/**
 * Published figures of tests, shown where no limit of the machine is entered; they decide nothing. `source` is set where
 * the figure is a regulation; the others are common practice.
 */
export interface PublishedFigure {
  readonly low?: string
  readonly high?: string
  readonly unit: string
  readonly source?: string
  /** A limit of the machine, by what it is called and where it is printed; such a figure decides. */
  readonly own?: string
}

/**
 * Charging at full speed: engine and tractor makers' service manuals print 13.5 to 14.5 V and 14.0 to 15.0 V.
 * Blades of ridden mowers: an operator's manual prints "5 seconds or less", one of a commercial machine 7 s.
 */
export function publishedFigure(kind: RunTestKind, of: MachineClass): PublishedFigure | null {
  if (kind === 'charge_voltage') return { low: '13.5', high: '15.0', unit: 'V' }
  if (kind !== 'blade_stop_time') return null
  if (of === 'walk_behind') return { high: '3.0', unit: 's', source: '16 CFR 1205.5(a)(1)(iii)' }
  return of === 'other' ? null : { high: '5', unit: 's' }
}
