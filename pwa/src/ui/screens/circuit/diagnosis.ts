import { useMemo } from 'preact/hooks'
import { expects, READY, waysMeasured } from '../../../domain/bench/circuit'
import { type Explanation, type Explanations, explain } from '../../../domain/bench/diagnosis/explanations'
import { type Advice, advise, type CircuitTest } from '../../../domain/bench/diagnosis/nextTest'
import type { Circuit, CircuitCheck, CircuitModel, Control } from '../../../domain/contract'
import { faultText, circuit as t } from '../../../domain/words/circuit'
import type { SeenObservation } from '../../../store/circuits'
import type { Route } from '../../router'

/** How many explanations a screen lists. */
const MOST_SHOWN = 6
/** One that could leave out a part is listed from this weight on. */
const LEAST_SHOWN = 0.02
/** From this weight on an explanation is acted on. */
const ENOUGH = 0.9

export interface Diagnosis extends Explanations {
  readonly shown: readonly Explanation[]
  readonly advice: Advice
  readonly spent: number
  /** The heaviest explanation is enough to act on. */
  readonly enough: boolean
}

/** The explanations of what was seen and the next test; worked out anew only when the circuit or what was seen changes. */
export function useDiagnosis({ wiring }: Circuit, seen: readonly SeenObservation[]): Diagnosis | null {
  const about = JSON.stringify([wiring, seen.map(({ id }) => id)])
  // biome-ignore lint/correctness/useExhaustiveDependencies: `about` is all that it depends on
  return useMemo(() => (seen.length ? diagnose(wiring, seen) : null), [about])
}

function diagnose(wiring: CircuitModel, seen: readonly SeenObservation[]): Diagnosis {
  const observations = seen.map(({ observation }) => observation)
  const explanations = explain(wiring, observations)
  const heaviest = explanations.found.slice(0, MOST_SHOWN)
  const last = heaviest.findLastIndex(({ weight, smallest }) => smallest || weight >= LEAST_SHOWN)
  const shown = heaviest.slice(0, last + 1)
  const spent = observations.reduce((sum, { minutes }) => sum + minutes, 0)
  const advice = advise(wiring, explanations.found, Math.max(0, wiring.minutes - spent), shown.length)
  const enough = shown.some(({ faults, weight }) => faults.length > 0 && weight >= ENOUGH)
  return { ...explanations, shown, advice, spent, enough }
}

/** An explanation in words: each of its faults. */
export function explanationText(wiring: CircuitModel, { faults }: Explanation): string {
  const texts = faults.flatMap(({ part, fault }) => {
    const found = wiring.parts.find(({ key }) => key === part)
    return found ? [faultText(found, fault)] : []
  })
  return texts.join(' + ') || t.nothingWrong
}

/** The controls that count for a check, in the order of the screen. */
export function controlsUsed(wiring: CircuitModel, check: CircuitCheck, part: string | null): Control[] {
  const used = new Set(waysMeasured(wiring, check, part).flatMap((way) => way.map(({ control }) => control)))
  return (Object.keys(READY) as Control[]).filter((control) => used.has(control))
}

export const partName = ({ parts }: CircuitModel, key: string | null): string =>
  parts.find((part) => part.key === key)?.name ?? key ?? ''

/** The test with which a search begins: whether it cranks, or runs, as it should. */
export function firstTest(wiring: CircuitModel): CircuitTest {
  const check = wiring.crank.length ? 'crank' : 'run'
  const expected = expects(wiring, check, null, READY)
  return { check, controls: READY, minutes: 1, expected, part: null, tries: 1, shaken: false }
}

/** The screen that records a test, filled in with it. */
export const recordRoute = (jobId: string, circuitId: string, test: CircuitTest): Route => ({
  at: 'circuit-seen',
  id: jobId,
  circuitId,
  check: test.check,
  ...(test.part !== null && { part: test.part }),
  on: (Object.keys(READY) as Control[]).filter((control) => test.controls[control]).join('.'),
  ...(test.shaken && { shaken: 'yes' }),
  minutes: String(test.minutes),
})
