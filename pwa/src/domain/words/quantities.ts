import { named } from '../named.ts'

/** What a unit measures. */
export const quantities = /* @__PURE__ */ named({
  length: 'Length, gap',
  torque: 'Torque',
  force: 'Force',
  pressure: 'Pressure',
  voltage: 'Voltage',
  current: 'Current',
  resistance: 'Resistance',
  temperature: 'Temperature',
  rotation: 'Engine speed',
  volume: 'Volume',
  mass: 'Weight',
  time: 'Time',
  share: 'Percent',
  angle: 'Angle',
  gravity: 'Specific gravity',
  speed: 'Speed',
  power: 'Power',
})

/** A unit among those of other quantities: "psi (pressure)". */
export const unitWithQuantity = (symbol: string, quantity: string) => `${symbol} (${quantity.toLowerCase()})`
