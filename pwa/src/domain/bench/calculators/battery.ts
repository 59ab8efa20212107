/**
 * State of charge of a rested 12 V flooded battery, corrected to 80 °F, and when it freezes.
 * Twin of `bench/rules/calculators/battery.py`, which names the sources.
 */
import { compare, type Exact, exact, minus, over, plus, times } from '../../numbers/decimal.ts'
import { toSi, UNITS } from '../../numbers/quantities.ts'
import {
  type Calculation,
  type Calculator,
  type Figure,
  figureIn,
  figureOf,
  type Given,
  InputFault,
  si,
  type WorkingStep,
} from './answers.ts'

type Points = readonly (readonly [x: Exact, y: Exact])[]

const points = (...pairs: [string, string][]): Points => pairs.map(([x, y]) => [exact(x), exact(y)])

const CHARGE_BY_VOLTS = points(
  ['11.89', '0'],
  ['12.06', '25'],
  ['12.24', '50'],
  ['12.45', '75'],
  ['12.65', '100'],
)
const CHARGE_BY_GRAVITY = points(
  ['1.120', '0'],
  ['1.155', '25'],
  ['1.190', '50'],
  ['1.225', '75'],
  ['1.265', '100'],
)
const GRAVITY_BY_CHARGE: Points = CHARGE_BY_GRAVITY.map(([gravity, charge]) => [charge, gravity])
const FREEZES_BY_GRAVITY = points(
  ['1.100', '19'],
  ['1.150', '5'],
  ['1.200', '-16'],
  ['1.250', '-62'],
  ['1.280', '-90'],
)
const MOST_GRAVITY = exact('1.4')

/** On straight lines between the points, which ascend; beyond the ends the value of the end. */
function interpolate(table: Points, x: Exact): Exact {
  let [[low, start] = [x, x]] = table
  if (compare(x, low) <= 0) return start
  for (const [high, end] of table.slice(1)) {
    if (compare(x, high) <= 0)
      return plus(start, times(minus(end, start), over(minus(x, low), minus(high, low))))
    ;[low, start] = [high, end]
  }
  return start
}

const percent = (value: Exact): Figure => ({ value, unit: '%' })
const isVolts = ({ unit }: Figure) => UNITS.get(unit)?.quantity === 'voltage'

function judgeCharge(given: Given): Calculation {
  const reading = figureOf(given, 'reading')
  const temperature = figureOf(given, 'temperature')
  const volts = isVolts(reading)
  if (!volts && compare(si(reading), MOST_GRAVITY) > 0) throw new InputFault('reading', 'figure_improbable')
  const away = minus(figureIn('degF', si(temperature)).value, exact(80))
  const correction = times(away, exact(volts ? '-0.0024' : '0.0004'))
  const table = volts ? CHARGE_BY_VOLTS : CHARGE_BY_GRAVITY
  const value = plus(si(reading), correction)
  const charge = interpolate(table, value)
  const gravity = interpolate(GRAVITY_BY_CHARGE, charge)
  const freezes = figureIn(temperature.unit, toSi(interpolate(FREEZES_BY_GRAVITY, gravity), 'degF'))
  const corrected = figureIn(reading.unit, value)
  const figures = { reading, temperature, correction: figureIn(reading.unit, correction), corrected }
  const steps: WorkingStep[] = [
    { code: volts ? 'battery_volts' : 'battery_gravity', figures },
    { code: 'battery_table', figures: { corrected, charge: percent(charge) } },
    { code: 'battery_freezes', figures: { gravity: { value: gravity, unit: 'SG' }, freezes } },
    ...meterStep(given.figures['meter'], reading, table, value),
  ]
  return {
    results: { charge: percent(charge), corrected, freezes },
    steps,
    verdict: verdictOf(value, charge, volts),
  }
}

/** What the charge may be as far as the meter can be trusted. */
function meterStep(meter: Figure | undefined, reading: Figure, table: Points, value: Exact): WorkingStep[] {
  if (!meter) return []
  if (isVolts(meter) !== isVolts(reading)) throw new InputFault('meter', 'unit_misfit')
  const low = percent(interpolate(table, minus(value, si(meter))))
  const high = percent(interpolate(table, plus(value, si(meter))))
  return [{ code: 'battery_meter', figures: { meter, low, high } }]
}

/** More than a full battery shows: fresh from the charger, or another kind of battery. */
const SURFACE = { volts: exact('12.75'), gravity: exact('1.28') }

function verdictOf(value: Exact, charge: Exact, volts: boolean): string {
  if (compare(value, volts ? SURFACE.volts : SURFACE.gravity) > 0) return 'surface_charge'
  if (compare(charge, exact(75)) >= 0) return 'charged'
  return charge.n > 0n ? 'charge_it' : 'flat'
}

export const BATTERY: Calculator = {
  // The voltage of a 12 V battery, or the gravity of battery acid: anything else is a slip.
  inputs: [
    { name: 'reading', quantities: ['voltage', 'gravity'], low: exact(1), high: exact(18) },
    { name: 'temperature', quantities: ['temperature'], low: toSi('-40', 'degF'), high: toSi('160', 'degF') },
    { name: 'meter', quantities: ['voltage', 'gravity'], optional: true },
  ],
  calculate: judgeCharge,
  sources: ['bci_table', 'army_freezing'],
  makerFirst: true,
}
