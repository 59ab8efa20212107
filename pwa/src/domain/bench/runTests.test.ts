import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { Limit, RunTest } from '../contract.ts'
import { defaultCircuit } from './defaultCircuits.ts'
import { EXPECTED, expectedBehavior, OPPOSITE, ROWS } from './interlockRows.ts'
import { publishedFigure } from './publishedFigures.ts'
import {
  chooseTestList,
  latestResults,
  listedTests,
  type MachineClass,
  machineClass,
  type PlannedTest,
  plannedTests,
  runTestFaults,
  summarizeTests,
  withRows,
} from './runTests.ts'
import { highestRate, missedShare, neededTries } from './startBounds.ts'
import { limitOfTest } from './testLimits.ts'

const read = (name: string) =>
  JSON.parse(readFileSync(new URL(`../../../../fixtures/bench/${name}.json`, import.meta.url), 'utf8'))

interface Vectors {
  classes: [string, MachineClass][]
  planned: { listed: PlannedTest[]; complaints: string[]; expect: PlannedTest[] }[]
  listed: { items: string[]; expect: PlannedTest[] }[]
  chosen: {
    lists: { name: string; purpose: string; machine_kind: string }[]
    kind: string
    expect: string | null
  }[]
  with_rows: { planned: PlannedTest[]; rows: string[]; expect: PlannedTest[] }[]
  faults: { test: RunTest; expect: [string, string][] }[]
  summaries: {
    planned: PlannedTest[]
    results: RunTest[]
    expect: { passed: number[]; failed: number[]; not_done: PlannedTest[]; left_out: number[] }
  }[]
}
const vectors: Vectors = read('run_tests')

test.each(vectors.classes)('the class of “%s” is %s', (kind, expected) => {
  expect(machineClass(kind)).toBe(expected)
})

test.each(vectors.planned)(
  'complaints ask for more tests: $complaints',
  ({ listed, complaints, expect: expected }) => {
    expect(plannedTests(listed, complaints)).toEqual(expected)
  },
)

test.each(vectors.listed)('the tests of a list: $items', ({ items, expect: expected }) => {
  expect(listedTests(items)).toEqual(expected)
})

test.each(vectors.chosen)('the list of tests of a $kind', ({ lists, kind, expect: expected }) => {
  expect(chooseTestList(lists, kind)?.name ?? null).toBe(expected)
})

test.each(vectors.with_rows)(
  'the interlock test has its rows: $rows',
  ({ planned, rows, expect: expected }) => {
    expect(withRows(planned, rows)).toEqual(expected)
  },
)

test.each(vectors.faults)('faults of $test', ({ test: row, expect: expected }) => {
  expect(runTestFaults(row)).toEqual(expected)
})

test.each(vectors.summaries)(
  'summary of $results.length results',
  ({ planned, results, expect: expected }) => {
    const numbers = (rows: readonly RunTest[]) => rows.map(({ id }) => Number(id.slice(-12)))
    // In whatever order the rows are read.
    for (const rows of [results, [...results].reverse()]) {
      const { passed, failed, not_done, left_out } = summarizeTests(planned, rows)
      expect({
        passed: numbers(passed),
        failed: numbers(failed),
        not_done,
        left_out: numbers(left_out),
      }).toEqual(expected)
      expect(latestResults(rows).size).toBe(passed.length + failed.length + left_out.length)
    }
  },
)

test('the interlock table is that of the server', () => {
  expect({ expected: EXPECTED, opposite: OPPOSITE, rows: ROWS }).toEqual(read('interlock_rows'))
})

test('bounds of counted starts', () => {
  const { missed, highest, needed, refused } = read('start_bounds')
  for (const { rate, tries, expect: expected } of missed)
    expect(missedShare(rate, tries)).toBeCloseTo(expected, 12)
  for (const { tries, bad, expect: expected } of highest)
    expect(highestRate(tries, bad)).toBeCloseTo(expected, 9)
  for (const { rate, expect: expected } of needed) expect(neededTries(rate)).toBe(expected)
  const run = { missed: missedShare, highest: highestRate, needed: neededTries }
  for (const [name, a, b] of refused) expect(() => run[name as keyof typeof run](a, b)).toThrow(RangeError)
})

test.each([
  ['hydrostatic', 'tractor'],
  ['zero_turn', 'zero_turn'],
] as const)('the default circuit %s gives the published rows of a %s', (kind, of) => {
  for (const row of ROWS[of])
    expect([row, expectedBehavior(row, defaultCircuit(kind))]).toEqual([row, EXPECTED[row]])
})

test('a circuit that the owner changed changes what is expected', () => {
  const circuit = defaultCircuit('hydrostatic')
  const always = {
    ...circuit,
    crank: [{ contacts: [{ part: 'solenoid', control: 'key', closed: true } as const] }],
  }
  expect(expectedBehavior('start_pto_on', always)).toBe('cranks')
  // Rows of a machine without such a circuit stay those of the table.
  expect(expectedBehavior('release_control', always)).toBe('blade_stops')
})

test('a limit of the machine comes before published figures', () => {
  const limit = (what: string, fields: Partial<Limit>) =>
    ({
      what,
      nominal: '',
      tolerance: '',
      low: '',
      high: '',
      condition: '',
      manual: '',
      page: '',
      ...fields,
    }) as Limit
  const limits = [
    limit('Valve lash', { quantity: 'length', unit: 'in', low: '0.004', high: '0.006' }),
    limit('High idle', {
      quantity: 'rotation',
      unit: 'rpm',
      nominal: '3350',
      tolerance: '150',
      manual: 'GT 22',
    }),
    limit('Idle', { quantity: 'rotation', unit: 'rpm', low: '1700' }),
    limit('Charging', { quantity: 'voltage', unit: 'V', nominal: '14' }),
  ]
  expect(limitOfTest('governed_speed', limits)).toEqual({
    low: '3200',
    high: '3500',
    unit: 'rpm',
    own: 'High idle, GT 22',
  })
  expect(limitOfTest('idle_speed', limits)).toEqual({ low: '1700', unit: 'rpm', own: 'Idle' })
  // A value alone decides nothing.
  expect(limitOfTest('charge_voltage', limits)).toBe(null)
  // 16 CFR 1205.5(a)(1)(iii): within 3.0 seconds, of walk-behind mowers only.
  expect(publishedFigure('blade_stop_time', 'walk_behind')).toMatchObject({ high: '3.0', unit: 's' })
  expect(publishedFigure('blade_stop_time', 'tractor')?.source).toBe(undefined)
})
