/** The vectors of `fixtures/fields`, which the server runs as well (`tests/api/test_field_vectors.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { Stop } from '../contract.ts'
import { faultsOfRig, faultsOfYard } from '../dispatch/rigFaults'
import { faultsOfStop } from '../dispatch/stopFaults'
import { anomalyOf, workFaults } from '../labor/clock'
import { faultsOfMachine } from '../machines/machineFaults'
import type { Fault } from './fieldFaults'

type Row = Record<string, unknown>
type Ends = [least: number, most: number]
interface Vectors {
  bases: Record<string, Row>
  limits: Record<string, Record<string, Ends>>
  lengths: Record<string, Record<string, Ends>>
  cases: { of: string; says: string; change: Row; faults: [string, string][] }[]
  now: string
  spans: [started_at: string, ended_at: string | null, anomaly: string][]
}
const at = new URL('../../../../fixtures/fields/refused.json', import.meta.url)
const { bases, limits, lengths, cases, now, spans }: Vectors = JSON.parse(readFileSync(at, 'utf8'))

const CHECKS: Record<string, (row: never) => Fault[]> = {
  rig: faultsOfRig,
  yard: faultsOfYard,
  stop: faultsOfStop satisfies (row: Stop) => Fault[],
  machine: faultsOfMachine,
  work: workFaults,
}

function faults(of: string, change: Row): [string, string][] {
  const row = structuredClone(bases[of]) as Row
  for (const [path, value] of Object.entries(change)) {
    const way = path.split('.')
    const holder = way.slice(0, -1).reduce((inner: Row, step) => inner[step] as Row, row)
    holder[way.at(-1) ?? ''] = value
  }
  const found = CHECKS[of]?.(row as never) ?? []
  return found.map(({ field, code }): [string, string] => [field, code]).sort()
}

const each = (part: Record<string, Record<string, Ends>>) =>
  Object.entries(part).flatMap(([of, fields]) =>
    Object.entries(fields).map(([path, [least, most]]) => ({ of, path, least, most })),
  )

test.each(cases)('$of: $says', ({ of, change, faults: expected }) => {
  expect(faults(of, change)).toEqual(expected)
})

test.each(each(limits))('$path of a $of goes from $least to $most', ({ of, path, least, most }) => {
  const beside = { ...(of === 'rig' && { ramp_length_cm: null }) }
  const apart = { ...beside, ...(path === 'ramp_length_cm' && { 'deck.height_cm': null }) }
  const tried = (value: number) =>
    faults(of, { ...apart, [path]: value }).filter(([, code]) => code !== 'range_ends_first')
  expect([tried(least), tried(most)]).toEqual([[], []])
  expect(tried(least - 1)).toEqual([[path, 'greater_than_equal']])
  expect(tried(most + 1)).toEqual([[path, 'less_than_equal']])
})

test.each(each(lengths))('$path of a $of has $least to $most characters', ({ of, path, least, most }) => {
  const tried = (length: number) => faults(of, { [path]: 'x'.repeat(length) })
  expect([tried(least), tried(most)]).toEqual([[], []])
  expect(tried(most + 1)).toEqual([[path, 'too_long']])
  if (least > 0) expect(tried(least - 1)).toEqual([[path, 'too_short']])
})

test.each(spans)('a span from %s to %s has the anomaly: %s', (started_at, ended_at, anomaly) => {
  expect(anomalyOf(started_at, ended_at, Date.parse(now))).toBe(anomaly)
})
