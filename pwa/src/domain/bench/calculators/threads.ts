/**
 * Threads, grades and the bounds of a torque that can belong to them: against slips, never a torque to use.
 * Twin of `bench/rules/calculators/threads.py`, which names the sources.
 */
import { compare, type DecimalText, type Exact, exact, minus, over, times } from '../../numbers/decimal.ts'
import { toSi, UNITS } from '../../numbers/quantities.ts'
import { PI } from './answers.ts'

export type TorqueVerdict = 'plausible' | 'too_low' | 'too_high'

export const OILED = exact('0.15')
export const DRY = exact('0.20')
export const CLAMP_SHARE = exact('0.75')
const LEAST_SHARE = exact('0.25')

/** Diameter and pitch in mm, ISO 261 coarse. */
export const METRIC: Readonly<Record<string, readonly [diameter: string, pitch: string]>> = {
  'M4x0.7': ['4', '0.7'],
  'M5x0.8': ['5', '0.8'],
  M6x1: ['6', '1'],
  'M8x1.25': ['8', '1.25'],
  'M10x1.5': ['10', '1.5'],
  'M12x1.75': ['12', '1.75'],
  M14x2: ['14', '2'],
  M16x2: ['16', '2'],
}
/** Diameter in sixteenths of an inch and threads per inch, ASME B1.1 UNC and UNF. */
export const INCH: Readonly<Record<string, readonly [sixteenths: number, perInch: number]>> = {
  '1/4-20': [4, 20],
  '1/4-28': [4, 28],
  '5/16-18': [5, 18],
  '5/16-24': [5, 24],
  '3/8-16': [6, 16],
  '3/8-24': [6, 24],
  '7/16-14': [7, 14],
  '7/16-20': [7, 20],
  '1/2-13': [8, 13],
  '1/2-20': [8, 20],
}
/** Proof stress in MPa, in ksi. In arrays, since an object would list "2" before "10.9". */
export const METRIC_GRADES: readonly (readonly [grade: string, mpa: number])[] = [
  ['8.8', 580],
  ['10.9', 830],
]
export const INCH_GRADES: readonly (readonly [grade: string, ksi: number])[] = [
  ['2', 55],
  ['5', 85],
  ['8', 120],
]

/** Diameter and pitch in metres, stress area in square metres. */
export interface Thread {
  readonly diameter: Exact
  readonly pitch: Exact
  readonly isInch: boolean
  readonly area: Exact
}

/** In N.m: the usual torques oiled and dry, and those beyond which one is improbable. */
export interface Bounds {
  readonly oiled: Exact
  readonly dry: Exact
  readonly least: Exact
  readonly most: Exact
}

/** The thread of a key of the tables; undefined for another one. */
export function threadOf(key: string): Thread | undefined {
  const metric = METRIC[key]
  const inch = INCH[key]
  if (metric) return thread(toSi(metric[0], 'mm'), toSi(metric[1], 'mm'), false)
  if (!inch) return undefined
  return thread(toSi(over(exact(inch[0]), exact(16)), 'in'), toSi(over(exact(1), exact(inch[1])), 'in'), true)
}

function thread(diameter: Exact, pitch: Exact, isInch: boolean): Thread {
  const across = minus(diameter, times(exact(isInch ? '0.9743' : '0.9382'), pitch))
  return { diameter, pitch, isInch, area: times(over(PI, exact(4)), times(across, across)) }
}

/** In pascals; undefined for a grade that threads of this system do not have. */
export function proofStress({ isInch }: Thread, grade: string): Exact | undefined {
  const found = (isInch ? INCH_GRADES : METRIC_GRADES).find(([each]) => each === grade)
  return found && (isInch ? toSi(exact(found[1] * 1000), 'psi') : toSi(exact(found[1]), 'MPa'))
}

export function boundsOf({ diameter, area }: Thread, stress: Exact): Bounds {
  const proof = times(stress, area)
  const clamp = times(CLAMP_SHARE, proof)
  const oiled = times(times(OILED, diameter), clamp)
  const dry = times(DRY, diameter)
  return { oiled, dry: times(dry, clamp), least: times(LEAST_SHARE, oiled), most: times(dry, proof) }
}

export function verdictOf({ least, most }: Bounds, torque: Exact): TorqueVerdict {
  if (compare(torque, least) < 0) return 'too_low'
  return compare(torque, most) > 0 ? 'too_high' : 'plausible'
}

/**
 * Whether a torque can belong to a fastener as a mechanic writes it: "M8", "M8 x 1.25", "3/8-16"; "8.8", "grade 5".
 * Null where thread, grade or unit is not in the tables: then nothing can be said.
 */
export function torquePlausible(
  written: string,
  grade: string,
  value: DecimalText,
  unit: string,
): TorqueVerdict | null {
  const plain = written.replace(/[\s"]/g, '').toLowerCase().replaceAll('×', 'x')
  const keys = [...Object.keys(METRIC), ...Object.keys(INCH)].map((key) => [key, key.toLowerCase()] as const)
  const known = keys.find(([, key]) => plain === key || plain === key.split('x')[0])
  const found = known && threadOf(known[0])
  if (!found || UNITS.get(unit)?.quantity !== 'torque') return null
  const stress = proofStress(
    found,
    grade
      .trim()
      .toLowerCase()
      .replace(/^(grade|gr\.?)\s*/, ''),
  )
  return stress ? verdictOf(boundsOf(found, stress), toSi(value, unit)) : null
}
