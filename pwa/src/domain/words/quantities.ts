import { named } from '../named.ts'

/** What a unit measures. */
export const quantities = /* @__PURE__ */ named({
  length: 'length',
  torque: 'torque',
  force: 'force',
  pressure: 'pressure',
  voltage: 'voltage',
  current: 'current',
  resistance: 'resistance',
  temperature: 'temperature',
  rotation: 'engine speed',
  volume: 'volume',
  mass: 'weight',
  time: 'time',
  share: 'percent',
  angle: 'angle',
  gravity: 'specific gravity',
  speed: 'speed',
  power: 'power',
})
