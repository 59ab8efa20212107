/** All calculators, in the order in which they are listed. */
import type { Calculator } from './answers.ts'
import { BATTERY } from './battery.ts'
import { BELT_SPEED } from './beltSpeed.ts'
import { CHARGING } from './charging.ts'
import { CONVERSION } from './conversion.ts'
import { COOLANT } from './coolant.ts'
import { COMPRESSION, LEAK_DOWN } from './cylinders.ts'
import { FASTENER_TORQUE } from './fastenerTorque.ts'
import { FUEL_MIX } from './fuelMix.ts'
import { WRENCH_ADAPTER } from './wrenchAdapter.ts'

export const CALCULATORS = {
  conversion: CONVERSION,
  fastener_torque: FASTENER_TORQUE,
  wrench_adapter: WRENCH_ADAPTER,
  battery: BATTERY,
  charging: CHARGING,
  compression: COMPRESSION,
  leak_down: LEAK_DOWN,
  coolant: COOLANT,
  fuel_mix: FUEL_MIX,
  belt_speed: BELT_SPEED,
} as const satisfies Readonly<Record<string, Calculator>>

export type CalculatorName = keyof typeof CALCULATORS

export const CALCULATOR_NAMES = Object.keys(CALCULATORS) as CalculatorName[]
