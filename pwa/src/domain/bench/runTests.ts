/**
 * Tests before a machine is released: what is on the list, what was seen, and which of the results counts.
 * Twin: `shopapi/bench/rules/run_tests.py`; both run the vectors of `fixtures/bench/run_tests.json`.
 */
import type { CheckList, Quantity, RunTest, RunTestKind } from '../contract.ts'
import { UNITS } from '../numbers/quantities.ts'
import { fitsMachine } from './checks.ts'

export interface PlannedTest {
  readonly kind: RunTestKind
  /** Its name, for those of the shop's own; the row of the interlock table. */
  readonly item: string
}

/** What the value of a test measures; the others have none. */
export const QUANTITIES: { readonly [K in RunTestKind]?: Quantity } = {
  charge_voltage: 'voltage',
  idle_speed: 'rotation',
  governed_speed: 'rotation',
  blade_stop_time: 'time',
}

export type MachineClass = 'tractor' | 'zero_turn' | 'walk_behind' | 'other'

/** The kind of a machine is free text. The first that is found counts. */
const CLASSES: readonly (readonly [MachineClass, RegExp])[] = [
  ['zero_turn', /zero.?turn|\bz.?turn|giro cero/i],
  ['walk_behind', /walk|push.?mower|self.?propelled/i],
  ['tractor', /tractor|rider|riding|ride.?on/i],
]

const RIDE_ON: readonly RunTestKind[] = [
  'leaks',
  'charge_voltage',
  'idle_speed',
  'governed_speed',
  'brake_hold',
  'blade_stop_time',
  'interlock',
]
/** Common practice, no source; a shop has its own list where it wants another. */
const DEFAULT_TESTS: Readonly<Record<MachineClass, readonly RunTestKind[]>> = {
  tractor: RIDE_ON,
  zero_turn: RIDE_ON,
  walk_behind: ['leaks', 'governed_speed', 'blade_stop_time', 'interlock'],
  other: ['leaks', 'idle_speed', 'governed_speed'],
}
const ASKED: readonly (readonly [RegExp, RunTestKind])[] = [
  [/sometimes|at times|intermittent|now and then|off and on|on and off|random|once in a while/i, 'starts'],
  [/\bhot\b|\bwarm/i, 'heat_soak'],
]

/** The class of a machine by its kind as typed; `other` where the words say none. */
export function machineClass(kind: string): MachineClass {
  return CLASSES.find(([, words]) => words.test(kind))?.[0] ?? 'other'
}

export const defaultTests = (of: MachineClass): PlannedTest[] =>
  DEFAULT_TESTS[of].map((kind) => ({ kind, item: '' }))

/** The purpose of the check lists that are lists of tests. */
export const TEST_PURPOSE = 'Testing'
/** What an item of such a list is called where it is a test that the app knows; any other item is a test by its words. */
export const NAMES: Readonly<Record<Exclude<RunTestKind, 'other'>, string>> = {
  leaks: 'Leaks',
  bleed_cycles: 'Cooling system bled',
  charge_voltage: 'Charging voltage',
  idle_speed: 'Idle speed',
  governed_speed: 'Governed speed',
  brake_hold: 'Brake holds',
  blade_stop_time: 'Blade stopping time',
  interlock: 'Safety switches',
  heat_soak: 'Hot restart',
  starts: 'Counted starts',
}
const LONGEST_ITEM = 120

/** The shop's own list of tests for a kind of machine: the first by name for just it, else any that fits. */
export function chooseTestList<List extends Pick<CheckList, 'purpose' | 'machine_kind'>>(
  lists: readonly List[],
  kind: string,
): List | undefined {
  const fitting = lists.filter(
    (list) => list.purpose.trim().toLowerCase() === TEST_PURPOSE.toLowerCase() && fitsMachine(list, kind),
  )
  return fitting.find(({ machine_kind }) => machine_kind.trim()) ?? fitting[0]
}

/** The tests of a list by the words of its items, each once. */
export function listedTests(items: readonly string[]): PlannedTest[] {
  const known = Object.entries(NAMES) as [RunTestKind, string][]
  const tests = items.map((words): PlannedTest => {
    const plain = words.trim()
    const kind = known.find(([, name]) => name.toLowerCase() === plain.toLowerCase())?.[0]
    return kind ? { kind, item: '' } : { kind: 'other', item: plain.slice(0, LONGEST_ITEM) }
  })
  const keys = tests.map(testKey)
  return tests.filter((test, at) => keys.indexOf(testKey(test)) === at)
}

/**
 * The list for one job: that of its class of machine, and what its complaints ask for. One that comes and goes asks for
 * counted starts, one that depends on heat for a heat soak.
 */
export function plannedTests(listed: readonly PlannedTest[], complaints: readonly string[]): PlannedTest[] {
  const text = complaints.join('\n')
  const asked = ASKED.flatMap(([words, kind]) => (words.test(text) ? [kind] : []))
  const isListed = (kind: RunTestKind) => listed.some((test) => test.kind === kind && !test.item)
  return [...listed, ...asked.filter((kind) => !isListed(kind)).map((kind) => ({ kind, item: '' }))]
}

/** A list with the interlock test as one test for each of its rows; without rows it stays one test. */
export function withRows(planned: readonly PlannedTest[], rows: readonly string[]): PlannedTest[] {
  return planned.flatMap((test) =>
    test.kind === 'interlock' && !test.item && rows.length
      ? rows.map((item) => ({ kind: test.kind, item }))
      : [test],
  )
}

export type RunTestFault = 'negative_value' | 'unit_does_not_fit' | 'more_good_than_tries'

/** What cannot be: a negative value, a unit of another quantity, more good tries than tries. */
export function runTestFaults({
  kind,
  value,
  unit,
  tries,
  good,
}: Pick<RunTest, 'kind' | 'value' | 'unit' | 'tries' | 'good'>): [
  field: 'value' | 'unit' | 'tries' | 'good',
  fault: RunTestFault,
][] {
  const faults: ReturnType<typeof runTestFaults> = []
  if (value !== null) {
    if (Number(value) < 0) faults.push(['value', 'negative_value'])
    const quantity = UNITS.get(unit)?.quantity
    if (!quantity || quantity !== QUANTITIES[kind]) faults.push(['unit', 'unit_does_not_fit'])
  }
  if ((tries ?? 0) < 0) faults.push(['tries', 'negative_value'])
  if ((good ?? 0) < 0) faults.push(['good', 'negative_value'])
  if (good !== null && good > (tries ?? 0)) faults.push(['good', 'more_good_than_tries'])
  return faults
}

type Result = Pick<RunTest, 'id' | 'kind' | 'item' | 'outcome' | 'tested_at'>

/** What was tested and what was not. */
export interface ReleaseSummary<Each> {
  /** The results that count, in the order of the list. */
  readonly passed: readonly Each[]
  readonly failed: readonly Each[]
  /** Tests of the list without a result, or left out. */
  readonly not_done: readonly PlannedTest[]
  /** The results that say that a test was left out. */
  readonly left_out: readonly Each[]
}

/** One text for the kind and the item of a test. */
export const testKey = ({ kind, item }: PlannedTest): string => `${kind}:${item}`

const byTime = (a: Result, b: Result) =>
  Date.parse(a.tested_at) - Date.parse(b.tested_at) || (a.id < b.id ? -1 : 1)

/** The result that counts of each kind and item, by `testKey`: the last by its time, then by its id. */
export function latestResults<Each extends Result>(results: readonly Each[]): Map<string, Each> {
  return new Map([...results].sort(byTime).map((result) => [testKey(result), result]))
}

/** Sums up the tests of a job. Tests that are not on the list follow those on it, by time. */
export function summarizeTests<Each extends Result>(
  planned: readonly PlannedTest[],
  results: readonly Each[],
): ReleaseSummary<Each> {
  const latest = latestResults(results)
  const places = new Map(planned.map((test, at) => [testKey(test), at]))
  const place = (result: Result) => places.get(testKey(result)) ?? planned.length
  const counted = [...latest.values()].sort((a, b) => place(a) - place(b) || byTime(a, b))
  const of = (outcome: RunTest['outcome']) => counted.filter((result) => result.outcome === outcome)
  return {
    passed: of('passed'),
    failed: of('failed'),
    not_done: planned.filter((test) => (latest.get(testKey(test))?.outcome ?? 'not_done') === 'not_done'),
    left_out: of('not_done'),
  }
}
