/** Whether a torque can belong to a fastener. Twin of `bench/rules/calculators/fastener_torque.py`. */
import { compare, type Exact, over, times } from '../../numbers/decimal.ts'
import { toSi, unitsOf } from '../../numbers/quantities.ts'
import {
  type Calculation,
  type Calculator,
  type Figure,
  figureIn,
  type Given,
  InputFault,
  plain,
  si,
  type WorkingStep,
} from './answers.ts'
import {
  type Bounds,
  boundsOf,
  CLAMP_SHARE,
  DRY,
  INCH,
  INCH_GRADES,
  METRIC,
  METRIC_GRADES,
  OILED,
  proofStress,
  type Thread,
  threadOf,
  verdictOf,
} from './threads.ts'

/** The same number in another unit, where it would fit: most such slips are of the unit. */
function unitSlip({ value, unit }: Figure, bounds: Bounds): WorkingStep[] {
  const other = unitsOf('torque').find(
    (each) => each !== unit && verdictOf(bounds, toSi(value, each)) === 'plausible',
  )
  return other ? [{ code: 'unit_slip', figures: { torque: { value, unit: other } } }] : []
}

/** The unit in which fasteners of this size are usually tightened: small ones of inches in pound-force inches. */
function usualUnit({ isInch, diameter }: Thread): string {
  if (!isInch) return 'N.m'
  return compare(diameter, toSi('0.375', 'in')) < 0 ? 'lbf.in' : 'lbf.ft'
}

function judgeTorque(given: Given): Calculation {
  const thread = threadOf(given.choices['thread'] ?? '')
  const stress = thread && proofStress(thread, given.choices['grade'] ?? '')
  if (!thread || !stress) throw new InputFault('grade', 'grade_misfit')
  const { torque } = given.figures
  const bounds = boundsOf(thread, stress)
  const shown = inUnit(bounds, torque?.unit ?? usualUnit(thread))
  const steps = working(thread, stress, shown)
  // What is usual stays in the working: nobody is to take it for the torque to use.
  const results = { least: shown.least, most: shown.most }
  if (!torque) return { results, steps, verdict: '' }
  const verdict = verdictOf(bounds, si(torque))
  const slip = verdict === 'plausible' ? [] : unitSlip(torque, bounds)
  return { results, steps: [...steps, ...slip], verdict }
}

type Shown = { readonly [Name in keyof Bounds]: Figure }

const inUnit = ({ oiled, dry, least, most }: Bounds, unit: string): Shown => ({
  oiled: figureIn(unit, oiled),
  dry: figureIn(unit, dry),
  least: figureIn(unit, least),
  most: figureIn(unit, most),
})

function working(thread: Thread, stress: Exact, { oiled, dry, least, most }: Shown): WorkingStep[] {
  const [length, pressure, force] = thread.isInch ? ['in', 'psi', 'lbf'] : ['mm', 'MPa', 'N']
  const one = toSi('1', length)
  const d = figureIn(length, thread.diameter)
  const p = figureIn(length, thread.pitch)
  const a = plain(over(thread.area, times(one, one)))
  const proof = times(stress, thread.area)
  return [
    { code: thread.isInch ? 'area_in' : 'area_mm', figures: { d, p, a } },
    { code: 'proof', figures: { stress: figureIn(pressure, stress), proof: figureIn(force, proof) } },
    { code: 'clamp', figures: { clamp: figureIn(force, times(CLAMP_SHARE, proof)) } },
    { code: 'torque', figures: { low: plain(OILED), high: plain(DRY), oiled, dry } },
    { code: 'bounds', figures: { least, most } },
  ]
}

const gradesOf = (grades: typeof METRIC_GRADES) => grades.map(([grade]) => grade)

export const FASTENER_TORQUE: Calculator = {
  inputs: [
    { name: 'thread', choices: [...Object.keys(METRIC), ...Object.keys(INCH)] },
    {
      name: 'grade',
      choices: gradesOf([...METRIC_GRADES, ...INCH_GRADES]),
      choicesFor: ({ thread = '' }) => gradesOf(thread in INCH ? INCH_GRADES : METRIC_GRADES),
    },
    { name: 'torque', quantities: ['torque'], optional: true },
  ],
  calculate: judgeTorque,
  sources: ['iso_898_1', 'sae_j429', 'torque_charts'],
  makerFirst: true,
}
