/**
 * The test to do next: the most expected information a minute, among measurements and the maker's own test rows. Twin of
 * `shopapi/bench/rules/diagnosis/next_test.py`, which states the conventions; both run `fixtures/bench/diagnoses.json`.
 */

import type {
  CircuitCheck,
  CircuitContact,
  CircuitModel,
  CircuitPartKind,
  Control,
  ControlStates,
} from '../../contract.ts'
import { contactsOf, expects, READY } from '../circuit.ts'
import { assumptionOf, type Explanation } from './explanations.ts'
import { caseOf, chanceOf } from './faults.ts'

const MOST_WEIGHED = 400
const LEAST_BITS = 1e-6
const SEVERAL = 5
/** Minutes of a test; assumptions, without a source. */
const MINUTES = {
  crank: 1,
  crankSeveral: 2,
  run: 3,
  voltage: 4,
  voltageSeveral: 5,
  continuity: 6,
  shaking: 1,
}
const MEASURED: readonly CircuitPartKind[] = ['switch', 'relay', 'connector', 'wire', 'fuse']

type Row = readonly [controls: ControlStates, needed: readonly Control[]]
/** The rows of published interlock tests, each with the controls that it needs in the chain. */
const CRANK_ROWS: readonly Row[] = [
  [READY, []],
  [{ ...READY, pto: true }, ['pto']],
  [{ ...READY, brake: false }, ['brake']],
  [{ ...READY, neutral: false }, ['neutral']],
  [{ ...READY, seat: false }, ['seat']],
]
const RUN_ROWS: readonly Row[] = [
  [READY, []],
  [{ ...READY, seat: false }, ['seat']],
  [{ ...READY, seat: false, brake: false }, ['seat', 'brake']],
  [{ ...READY, seat: false, pto: true }, ['seat', 'pto']],
  [{ ...READY, pto: true, neutral: false, reverse: true }, ['reverse']],
  [{ ...READY, pto: true, neutral: false, reverse: true, override: true }, ['reverse', 'override']],
  [{ ...READY, key: false }, ['key']],
]

/** A test of one observation, how long it takes, and whether a circuit without fault answers yes. */
export interface CircuitTest {
  readonly check: CircuitCheck
  readonly controls: ControlStates
  readonly minutes: number
  readonly expected: boolean
  readonly part: string | null
  readonly tries: number
  readonly shaken: boolean
}

/** `bits`: expected information; `chance`: that it answers as a circuit without fault does. */
export interface RatedTest {
  readonly test: CircuitTest
  readonly bits: number
  readonly chance: number
}

/** Tests that tell something, the best first; `alike` and `tooLong` as in the twin's `Advice`. */
export interface Advice {
  readonly tests: readonly RatedTest[]
  readonly alike: readonly (readonly number[])[]
  readonly tooLong: boolean
}

/** Every test that is proposed for a circuit. */
export function testsOf(model: CircuitModel): CircuitTest[] {
  const test = (
    check: CircuitCheck,
    minutes: number,
    more: { controls?: ControlStates; part?: string; tries?: number; shaken?: boolean } = {},
  ): CircuitTest => {
    const { controls = READY, part = null, tries = 1, shaken = false } = more
    return { check, controls, minutes, expected: expects(model, check, part, controls), part, tries, shaken }
  }
  const crank = contactsOf({ ...model, kill: [] })
  const kill = contactsOf({ ...model, crank: [] })
  const beforeLast = new Set(
    model.crank.flatMap(({ contacts }) => contacts.slice(0, -1)).map(({ part }) => part),
  )
  return [
    ...(crank.length ? rowsOf(CRANK_ROWS, crank) : []).flatMap((controls) => [
      test('crank', MINUTES.crank, { controls }),
      ...(controls === READY
        ? [
            test('crank', MINUTES.crankSeveral, { tries: SEVERAL }),
            test('crank', MINUTES.crank + MINUTES.shaking, { shaken: true }),
          ]
        : []),
    ]),
    ...(kill.length ? rowsOf(RUN_ROWS, kill) : []).map((controls) => test('run', MINUTES.run, { controls })),
    ...(kill.length ? [test('run', MINUTES.run + MINUTES.shaking, { shaken: true })] : []),
    ...[...beforeLast].flatMap((part) => [
      test('voltage', MINUTES.voltage, { part }),
      test('voltage', MINUTES.voltageSeveral, { part, tries: SEVERAL }),
    ]),
    ...continuityStates(model).flatMap(({ part, minutes, controls }) => [
      test('continuity', minutes, { part, controls }),
      test('continuity', minutes + MINUTES.shaking, { part, controls, shaken: true }),
    ]),
  ]
}

function rowsOf(rows: readonly Row[], contacts: readonly CircuitContact[]): ControlStates[] {
  const known = new Set(contacts.map(({ control }) => control))
  return rows.filter(([, needed]) => needed.every((each) => known.has(each))).map(([controls]) => controls)
}

/** Parts that a meter tests by themselves; a switch in both of its states. */
function continuityStates(model: CircuitModel): { part: string; minutes: number; controls: ControlStates }[] {
  const contacts = contactsOf(model)
  return model.parts.flatMap(({ key: part, kind, minutes }) => {
    const contact = contacts.find((each) => each.part === part)
    if (!contact || !MEASURED.includes(kind)) return []
    const { control } = contact
    const states = control ? [READY, { ...READY, [control]: !READY[control] }] : [READY]
    return states.map((controls) => ({ part, minutes: minutes ?? MINUTES.continuity, controls }))
  })
}

/** The next test for explanations, heaviest first, and which of the first `shown` cannot be told apart. */
export function advise(
  model: CircuitModel,
  explanations: readonly Explanation[],
  minutesLeft: number,
  shown = 0,
): Advice {
  const weighed = explanations.slice(0, MOST_WEIGHED)
  const total = weighed.reduce((sum, { weight }) => sum + weight, 0) || 1
  const places = new Map(model.parts.map(({ key }, place) => [key, place]))
  const assumed = weighed.map(({ faults }) =>
    assumptionOf(faults.map(({ part, fault }) => [places.get(part) ?? 0, fault, 0])),
  )
  const answers: number[][] = assumed.slice(0, shown).map(() => [])
  const rated: RatedTest[] = []
  for (const test of testsOf(model)) {
    const tried = caseOf(model, { ...test, yes: 0, heat: 'unknown', wet: false })
    if (!tried) continue
    let chance = 0
    let inside = 0
    assumed.forEach(({ opened, closed, fickle }, number) => {
      const good = asExpected(test, chanceOf(tried, opened, closed, fickle))
      const share = (weighed[number]?.weight ?? 0) / total
      answers[number]?.push(Math.round(good * 1e9))
      chance += share * good
      inside += share * entropy(good)
    })
    const bits = entropy(chance) - inside
    if (bits > LEAST_BITS) rated.push({ test, bits, chance })
  }
  const fitting = rated.filter(({ test }) => test.minutes <= minutesLeft)
  return {
    tests: fitting.sort((a, b) => b.bits / b.test.minutes - a.bits / a.test.minutes),
    alike: alikeOf(answers),
    tooLong: rated.length > 0 && fitting.length === 0,
  }
}

/** The chance that every try answers as a circuit without fault does. */
const asExpected = ({ expected, tries }: CircuitTest, chance: number): number =>
  (expected ? chance : 1 - chance) ** tries

const entropy = (chance: number): number =>
  chance <= 0 || chance >= 1 ? 0 : -chance * Math.log2(chance) - (1 - chance) * Math.log2(1 - chance)

function alikeOf(answers: readonly (readonly number[])[]): number[][] {
  const groups = new Map<string, number[]>()
  answers.forEach((each, number) => {
    const key = each.join()
    groups.set(key, [...(groups.get(key) ?? []), number])
  })
  return [...groups.values()].filter((numbers) => numbers.length > 1)
}
