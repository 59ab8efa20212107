import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { expects, faultsOfCircuit, faultsOfObservation, READY } from '../circuit.ts'
import { type DefaultCircuit, defaultCircuit, defaultFor } from '../defaultCircuits.ts'
import { explain } from './explanations.ts'
import { smallestDiagnoses } from './hittingSets.ts'
import { advise } from './nextTest.ts'

const read = (name: string): any =>
  JSON.parse(readFileSync(new URL(`../../../../../fixtures/bench/${name}.json`, import.meta.url), 'utf8'))

const KINDS: readonly DefaultCircuit[] = ['geared', 'hydrostatic', 'zero_turn']

test.each(KINDS)('the %s circuit to begin with is that of the server', (kind) => {
  expect(defaultCircuit(kind)).toEqual(read('circuits')[kind])
  expect(faultsOfCircuit(defaultCircuit(kind))).toEqual([])
})

test.each(read('interlocks') as any[])('$row', ({ kinds, check, controls, yes }) => {
  for (const kind of kinds as DefaultCircuit[])
    expect(expects(defaultCircuit(kind), check, null, { ...READY, ...controls })).toBe(yes)
})

test.each(read('diagnoses') as any[])(
  '$name',
  ({ circuit, observations, most, minutes, expect: wanted }: any) => {
    const model = typeof circuit === 'string' ? defaultCircuit(circuit as DefaultCircuit) : circuit
    const { found, leftOut, conflict } = explain(model, observations, most)
    const { tests, alike, tooLong } = advise(model, found, minutes, 8)
    expect({ leftOut, conflict }).toEqual({ leftOut: wanted.left_out, conflict: wanted.conflict })
    expect(found.length).toBe(wanted.count)
    const keyOf = (faults: readonly { part: string; fault: string }[]) =>
      faults.map(({ part, fault }) => `${part} ${fault}`).join()
    const weights = new Map(found.map(({ faults, weight }) => [keyOf(faults), weight]))
    for (const [faults, weight] of wanted.heaviest) {
      const listed = Object.entries<string>(faults).map(([part, fault]) => ({ part, fault }))
      expect(weights.get(keyOf(listed))).toBeCloseTo(weight, 9)
    }
    const smallest = found
      .filter((each) => each.smallest)
      .map(({ faults }) => faults.map(({ part }) => part).join())
    expect([...new Set(smallest)].sort()).toEqual(wanted.smallest)
    expect({ proposed: tests.length, alike: alike.length, tooLong }).toEqual({
      proposed: wanted.proposed,
      alike: wanted.alike,
      tooLong: wanted.too_long,
    })
    wanted.tests.forEach(([check, part, tries, shaken, took, bits, chance]: any, place: number) => {
      const rated = tests[place]
      expect(rated?.test).toMatchObject({ check, part, tries, shaken, minutes: took })
      expect(rated?.bits).toBeCloseTo(bits, 9)
      expect(rated?.chance).toBeCloseTo(chance, 9)
    })
  },
)

test('the published polybox has four smallest diagnoses', () => {
  // A=3, B=2, C=2, D=3, E=3, F=10, G=12; M1=A*C, M2=B*D, M3=C*E, A1=M1+M2, A2=M2+M3 (de Kleer and Williams 1987).
  const [M1, M2, M3, A1, A2] = [1, 2, 4, 8, 16]
  const explains = (faulty: number) => {
    const x = faulty & M1 ? null : 6
    const y = faulty & M2 ? null : 6
    const z = faulty & M3 ? null : 6
    const free = (sum: number | null) => sum === null
    // An unknown product takes the value that its adder needs; the one in the middle serves both.
    const f = faulty & A1 || free(x) ? null : 10 - (x ?? 0)
    const g = faulty & A2 || free(z) ? null : 12 - (z ?? 0)
    const needed = [f, g, y].filter((each) => each !== null)
    return needed.every((each) => each === needed[0])
  }
  expect(smallestDiagnoses(5, explains, 3)).toEqual([M1, A1, M2 | M3, M2 | A2])
})

test('bad input is named', () => {
  const model = defaultCircuit('geared')
  const seen = { check: 'crank', part: null, controls: READY, tries: 2, yes: 3 } as const
  const conditions = { heat: 'unknown', wet: false, shaken: false, minutes: 0 } as const
  expect(faultsOfObservation({ ...seen, ...conditions })).toEqual(['more_than_tries'])
  expect(faultsOfObservation({ ...seen, ...conditions, tries: 3, part: 'fuse' })).toEqual(['measured_where'])
  expect(faultsOfObservation({ ...seen, ...conditions, tries: 3, check: 'voltage' })).toEqual([
    'measured_where',
  ])
  expect(faultsOfCircuit({ ...model, crank: [], kill: [] })).toEqual(['circuit_without_switch'])
  const twice = { ...model, parts: [...model.parts, ...model.parts.slice(0, 1)] }
  expect(faultsOfCircuit(twice)).toEqual(['part_twice'])
  expect(faultsOfCircuit({ ...model, parts: model.parts.slice(1) })).toEqual(['part_unknown'])
})

test('500 observations are answered', () => {
  const seen = {
    check: 'crank',
    part: null,
    controls: READY,
    heat: 'unknown',
    wet: false,
    shaken: false,
  } as const
  const many = Array.from({ length: 500 }, (_, number) => ({
    ...seen,
    tries: 20,
    yes: number % 2 ? 20 : 7,
    minutes: 0,
  }))
  const { found } = explain(defaultCircuit('hydrostatic'), many)
  expect(found.every(({ weight }) => Number.isFinite(weight))).toBe(true)
  expect(found[0]?.faults.length).toBeGreaterThan(0)
})

test('the default is guessed by what the kind of machine is called', () => {
  expect(['garden tractor', 'Zero-turn mower', 'Hydrostatic tractor'].map(defaultFor)).toEqual([
    'geared',
    'zero_turn',
    'hydrostatic',
  ])
})

test('a check or control that only a newer server knows is no evidence, and its kind of part may have any fault', () => {
  const model = defaultCircuit('geared') as any
  const [crank] = read('diagnoses')[1].observations
  const [{ contacts, ...way }, ...ways] = model.crank
  const seen = (changed: object) => [{ ...crank, ...changed }]
  expect(explain(model, seen({ check: 'smell' }), 1).leftOut).toEqual([0])
  expect(explain(model, seen({ check: 'smell', part: 'battery' }), 1).leftOut).toEqual([0])
  const newControl = [{ ...contacts[0], control: 'tilt' }, ...contacts.slice(1)]
  expect(
    explain({ ...model, crank: [{ ...way, contacts: newControl }, ...ways] }, seen({}), 1).leftOut,
  ).toEqual([0])
  const [part, ...parts] = model.parts
  const newKind = explain({ ...model, parts: [{ ...part, kind: 'sensor' }, ...parts] }, [], 1)
  expect(
    newKind.found.filter(({ faults }) => faults[0]?.part === part.key).map(({ weight }) => weight > 0),
  ).not.toEqual([])
})
