/**
 * Units of the trade and conversion between them, exact: the one table of units.
 *
 * A unit is known by its key ("lbf.ft", "mm/100", "degC"), which is also how it is stored. A value in a unit times
 * `factor` plus `offset` is in the base unit of its quantity: SI, but rotation in turns per second, angle in degrees.
 * Sources are beside the table of the twin, `shopapi/core/quantities.py`; both run `fixtures/measures/quantities.json`.
 */
import type { Quantity } from '../contract.ts'
import { type DecimalText, type Exact, exact, minus, over, plus, times } from './decimal.ts'

/** `symbol` is how it is printed; a value times `factor` plus `offset` is in the base unit of the quantity. */
export interface Unit {
  readonly symbol: string
  readonly quantity: Quantity
  readonly factor: Exact
  readonly offset: Exact
}

/** The units measure different quantities, or one of them is unknown. */
export class UnlikeUnits extends Error {}

const ZERO = exact(0)
const of = (n: number, d = 1): Exact => over(exact(n), exact(d))
const INCH = of(254, 10_000)
const POUND = of(45_359_237, 100_000_000)
const POUND_FORCE = times(POUND, of(980_665, 100_000))
const FOOT = times(of(12), INCH)
const MILE = times(of(63_360), INCH)
const GALLON = times(of(231), times(INCH, times(INCH, INCH)))
const FAHRENHEIT = of(5, 9)

/** Symbol (where it is not the key) and factor. */
type Row = readonly [factor: Exact, symbol?: string]

const TABLE: Readonly<Record<Quantity, Readonly<Record<string, Row>>>> = {
  length: {
    mm: [of(1, 1000)],
    'mm/100': [of(1, 100_000)],
    cm: [of(1, 100)],
    m: [of(1)],
    km: [of(1000)],
    in: [INCH],
    thou: [over(INCH, of(1000))],
    ft: [FOOT],
    mi: [MILE],
  },
  torque: {
    'N.m': [of(1), 'N·m'],
    'lbf.ft': [times(POUND_FORCE, FOOT), 'lbf·ft'],
    'lbf.in': [times(POUND_FORCE, INCH), 'lbf·in'],
  },
  force: { N: [of(1)], kN: [of(1000)], lbf: [POUND_FORCE] },
  pressure: {
    kPa: [of(1000)],
    MPa: [of(1_000_000)],
    bar: [of(100_000)],
    psi: [over(POUND_FORCE, times(INCH, INCH))],
    inHg: [of(3_386_389, 1000)],
  },
  voltage: { V: [of(1)], mV: [of(1, 1000)] },
  current: { A: [of(1)], mA: [of(1, 1000)] },
  resistance: { ohm: [of(1), 'Ω'], kohm: [of(1000), 'kΩ'] },
  temperature: { degC: [of(1), '°C'], degF: [FAHRENHEIT, '°F'] },
  rotation: { rpm: [of(1, 60)] },
  volume: {
    mL: [of(1, 1_000_000)],
    L: [of(1, 1000)],
    'fl oz': [over(GALLON, of(128))],
    qt: [over(GALLON, of(4))],
    gal: [GALLON],
  },
  mass: { g: [of(1, 1000)], kg: [of(1)], oz: [over(POUND, of(16))], lb: [POUND] },
  time: { s: [of(1)], min: [of(60)], h: [of(3600)] },
  share: { '%': [of(1, 100)] },
  angle: { deg: [of(1), '°'] },
  gravity: { SG: [of(1)] },
  speed: {
    'm/s': [of(1)],
    'km/h': [of(5, 18)],
    'ft/min': [over(FOOT, of(60))],
    mph: [over(MILE, of(3600))],
  },
  power: { W: [of(1)], kW: [of(1000)], hp: [times(of(550), times(FOOT, POUND_FORCE))] },
}
const OFFSETS: Readonly<Record<string, Exact>> = {
  degC: of(27_315, 100),
  degF: times(of(45_967, 100), FAHRENHEIT),
}

/** Every unit by its key. A key of another device may be missing here. */
export const UNITS: ReadonlyMap<string, Unit> = new Map(
  Object.entries(TABLE).flatMap(([quantity, units]) =>
    Object.entries(units).map(([key, [factor, symbol = key]]): [string, Unit] => [
      key,
      { symbol, quantity: quantity as Quantity, factor, offset: OFFSETS[key] ?? ZERO },
    ]),
  ),
)

/** The keys of the units of a quantity, in the order in which they are offered. */
export function unitsOf(quantity: Quantity): string[] {
  return Object.keys(TABLE[quantity])
}

/** How a unit is printed; the key itself where this build does not know it. */
export function unitSymbol(key: string): string {
  return UNITS.get(key)?.symbol ?? key
}

function unitFor(key: string): Unit {
  const unit = UNITS.get(key)
  if (!unit) throw new UnlikeUnits(key)
  return unit
}

const asExact = (value: DecimalText | Exact): Exact => (typeof value === 'string' ? exact(value) : value)

/** A value in the base unit of its quantity. */
export function toSi(value: DecimalText | Exact, key: string): Exact {
  const unit = unitFor(key)
  return plus(times(asExact(value), unit.factor), unit.offset)
}

/** A difference (a tolerance, an uncertainty) in the base unit: a span of 9 °F is 5 °C, whatever zero is. */
export function spanToSi(value: DecimalText | Exact, key: string): Exact {
  return times(asExact(value), unitFor(key).factor)
}

/** A value in another unit of the same quantity, exact. Throws UnlikeUnits where the quantities differ. */
export function convert(value: DecimalText | Exact, key: string, to: string): Exact {
  const wanted = unitFor(to)
  if (unitFor(key).quantity !== wanted.quantity) throw new UnlikeUnits(`${key}, ${to}`)
  return over(minus(toSi(value, key), wanted.offset), wanted.factor)
}

/**
 * A figure to `digits` digits, as plain decimal text without zeros at its end. Digits before the point are never cut;
 * at most 8 decimal places; a half is rounded away from zero.
 */
export function asShown({ n, d }: Exact, digits = 4): DecimalText {
  const size = n < 0n ? -n : n
  const most = 10n ** BigInt(digits)
  let places = 8
  while (places > 0 && size * 10n ** BigInt(places) >= most * d) places -= 1
  const units = (2n * size * 10n ** BigInt(places) + d) / (2n * d)
  const text = String(units).padStart(places + 1, '0')
  const part = text.slice(text.length - places).replace(/0+$/, '')
  const whole = text.slice(0, text.length - places)
  return (n < 0n && units > 0n ? '-' : '') + whole + (places && part ? `.${part}` : '')
}
