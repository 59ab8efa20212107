import type { Machine } from '../contract.ts'
import { type Fault, faultsOfNumbers, faultsOfTexts, type Limits } from '../validation/fieldFaults.ts'

/** A figure above these limits is a typing error. */
export const KILOGRAMS: Limits = [1, 60_000]
export const CENTIMETERS: Limits = [1, 3_000]

export const MACHINE_LIMITS = {
  year: [1880, 2200],
  mass_kg: KILOGRAMS,
  length_cm: CENTIMETERS,
  width_cm: CENTIMETERS,
  height_cm: CENTIMETERS,
  wheelbase_cm: CENTIMETERS,
  clearance_cm: CENTIMETERS,
  tie_points: [0, 20],
} as const satisfies Readonly<Record<string, Limits>>

const LABEL: Limits = [0, 120]
const TEXTS = {
  kind: [1, 120],
  make: LABEL,
  model: LABEL,
  serial: LABEL,
  engine_make: LABEL,
  engine_model: LABEL,
  engine_serial: LABEL,
  tag: LABEL,
  notes: [0, 4000],
} as const satisfies Readonly<Record<string, Limits>>

/**
 * The faults of a machine's fields; omitted fields are not checked. Twin of `MachineFields` in
 * `shopapi/machines/rules/machines.py`; both run the vectors of `fixtures/fields`.
 */
export function faultsOfMachine(machine: Pick<Machine, 'kind'> & Partial<Machine>): Fault[] {
  return [...faultsOfTexts(machine, TEXTS), ...faultsOfNumbers(machine, MACHINE_LIMITS)]
}
