/**
 * Charging voltage at the battery, engine at full speed. Twin of `bench/rules/calculators/charging.py`, which names the
 * sources.
 */
import { compare, exact, minus } from '../../numbers/decimal.ts'
import {
  type Calculation,
  type Calculator,
  type Figure,
  figureIn,
  figureOf,
  type Given,
  si,
  type WorkingStep,
} from './answers.ts'

const LOW = exact('13.5')
const HIGH = exact(15)
const LEAST_RISE = exact('0.5')
const LEAST_STATOR = exact(20)

function judgeCharging(given: Given): Calculation {
  const running = figureOf(given, 'running')
  const { rested, stator } = given.figures
  const band = { running, low: figureIn(running.unit, LOW), high: figureIn(running.unit, HIGH) }
  const steps: WorkingStep[] = [{ code: 'charging_band', figures: band }]
  const rise = rested && figureIn(running.unit, minus(si(running), si(rested)))
  if (rise) steps.push({ code: 'charging_rise', figures: { running, rested, rise } })
  if (stator)
    steps.push({ code: 'charging_stator', figures: { stator, least: figureIn(stator.unit, LEAST_STATOR) } })
  return { results: { running, ...(rise && { rise }) }, steps, verdict: verdictOf(running, rise, stator) }
}

function verdictOf(running: Figure, rise: Figure | undefined, stator: Figure | undefined): string {
  if (compare(si(running), HIGH) > 0) return 'overcharging'
  if (compare(si(running), LOW) >= 0) return 'charging'
  if (stator && compare(si(stator), LEAST_STATOR) < 0) return 'stator_weak'
  return rise && compare(si(rise), LEAST_RISE) < 0 ? 'not_charging' : 'charging_low'
}

export const CHARGING: Calculator = {
  inputs: [
    { name: 'running', quantities: ['voltage'], low: exact(5), high: exact(25) },
    { name: 'rested', quantities: ['voltage'], optional: true, low: exact(0), high: exact(18) },
    { name: 'stator', quantities: ['voltage'], optional: true, low: exact(0), high: exact(100) },
  ],
  calculate: judgeCharging,
  sources: ['engine_makers_charging'],
  makerFirst: true,
}
