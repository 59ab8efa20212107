import { READY } from '../../../domain/bench/circuit'
import type { CircuitCheck, Control, ControlStates, Observation } from '../../../domain/contract'

/** The parameters of the address: what a proposed test fills in. */
export interface SeenParams {
  id: string
  circuitId: string
  check?: string
  part?: string
  on?: string
  shaken?: string
  minutes?: string
}

export type SeenCondition = 'cold' | 'hot' | 'wet' | 'shaken'

/** What is typed of an observation; `yes` and `no`: taps. */
export interface SeenFields {
  check: CircuitCheck
  part: string
  controls: ControlStates
  yes: number
  no: number
  conditions: SeenCondition[]
}

const CHECKS: readonly CircuitCheck[] = ['crank', 'run', 'voltage', 'continuity']

/** The form as a proposed test fills it in. */
export function startOf({ check, part, on, shaken }: SeenParams): SeenFields {
  const stated = on?.split('.')
  const controls = stated
    ? (Object.fromEntries(
        Object.keys(READY).map((each) => [each, stated.includes(each)]),
      ) as unknown as ControlStates)
    : READY
  return {
    check: CHECKS.find((each) => each === check) ?? 'crank',
    part: part ?? '',
    controls,
    yes: 0,
    no: 0,
    conditions: shaken ? ['shaken'] : [],
  }
}

/** Whether a check is of one part. */
export const isMeasured = (check: CircuitCheck) => check === 'voltage' || check === 'continuity'

export function observationOf(
  { check, part, controls, yes, no, conditions }: SeenFields,
  minutes: number,
): Observation {
  return {
    check,
    part: isMeasured(check) ? part : null,
    controls,
    tries: yes + no,
    yes,
    heat: conditions.includes('hot') ? 'hot' : conditions.includes('cold') ? 'cold' : 'unknown',
    wet: conditions.includes('wet'),
    shaken: conditions.includes('shaken'),
    minutes,
  }
}

export const withControls = (
  before: ControlStates,
  used: readonly Control[],
  on: readonly Control[],
): ControlStates => ({
  ...before,
  ...Object.fromEntries(used.map((each) => [each, on.includes(each)])),
})

/** Cold and hot exclude each other: the one chosen last counts. */
export function withoutOpposite(chosen: SeenCondition[], before: readonly SeenCondition[]): SeenCondition[] {
  if (!chosen.includes('hot') || !chosen.includes('cold')) return chosen
  return chosen.filter((each) => each !== (before.includes('hot') ? 'hot' : 'cold'))
}
