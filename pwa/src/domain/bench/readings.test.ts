import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { Reading } from '../contract.ts'
import { moment } from '../time.ts'
import { driftOf } from './drift.ts'
import {
  faultsOfReading,
  isSameThing,
  type Measured,
  siOf,
  standing,
  stillNeeded,
  verdictOf,
} from './readings.ts'
import { inUnit, spanInUnit } from './readingText.ts'
import { scaleOf } from './scale.ts'

interface Vector extends Measured {
  name: string
  verdict: string | null
  si: string
  faults: string[]
}
const file = new URL('../../../../fixtures/bench/readings.json', import.meta.url)
const vectors: Vector[] = JSON.parse(readFileSync(file, 'utf8'))

test.each(vectors)('$name', ({ name: _, verdict, si, faults, ...reading }) => {
  expect(faultsOfReading(reading).map(({ field, code }) => `${field}:${code}`)).toEqual(faults)
  expect(siOf(reading)).toBe(si)
  if (!faults.length) expect(verdictOf(reading)).toBe(verdict)
})

const [within] = vectors
const at = (day: number) => moment(Date.UTC(2026, 4, day))

function reading(id: string, more: Partial<Reading> = {}): Reading {
  const { value = '', goes = '', stops = '', unit = '', gauge = null, limit = null } = within ?? {}
  return {
    id,
    job_id: 'job',
    machine_id: 'machine',
    what: 'Air gap',
    place: '',
    si: '',
    verdict: 'within',
    repeat_of_id: null,
    second_method: false,
    corrects_id: null,
    words: '',
    taken_at: at(1),
    taken_by_id: null,
    created_at: at(1),
    changed_at: at(1),
    ...{ value, goes, stops, unit, gauge, limit },
    ...more,
  }
}

test('a corrected reading counts no longer', () => {
  const all = [reading('1'), reading('2', { corrects_id: '1' }), reading('3')]
  expect(standing(all).map(({ id }) => id)).toEqual(['2', '3'])
})

test('the same thing has the same name, place and quantity; its unit may differ', () => {
  expect(isSameThing(reading('1'), reading('2', { what: ' air GAP', unit: 'in' }))).toBe(true)
  expect(isSameThing(reading('1'), reading('2', { place: 'cylinder 2' }))).toBe(false)
  expect(isSameThing(reading('1'), reading('2', { unit: 'psi' }))).toBe(false)
})

test('a critical limit asks for a repeat and a second method', () => {
  const limit = within?.limit ? { ...within.limit, critical: true } : null
  const one = reading('1', { limit })
  expect(stillNeeded(reading('1'), [])).toEqual([])
  expect(stillNeeded(one, [one])).toEqual(['repeat', 'second_method'])
  expect(stillNeeded(one, [reading('2', { limit })])).toEqual(['second_method'])
  expect(stillNeeded(one, [reading('2', { limit, second_method: true })])).toEqual(['repeat'])
  expect(stillNeeded(one, [reading('2'), reading('3', { second_method: true })])).toEqual([])
})

test('a scale has the value between its limits, with what it could be around it', () => {
  const points = scaleOf(reading('1'))
  const order = [points?.low, points?.least, points?.middle, points?.most, points?.high]
  expect(order).toEqual([...order].sort())
  expect(points?.middle).toBeCloseTo(0.5, 9)
  expect(scaleOf(reading('1', { limit: null }))).toBeNull()
  expect(scaleOf(reading('1', { value: '', goes: '0.25' }))).toMatchObject({ middle: null, most: 1 })
})

test('readings over the life of a machine are points in time, in the unit of the last', () => {
  const drift = driftOf([
    reading('1', { value: '0.010', unit: 'in', taken_at: at(1) }),
    reading('2', { value: '0.28', taken_at: at(2) }),
    reading('3', { value: '0.29', taken_at: at(5) }),
  ])
  expect(drift?.unit).toBe('mm')
  expect(drift?.points.map((point) => point.at)).toEqual([0, 0.25, 1])
  const middles = drift?.points.map(({ middle }) => middle) ?? []
  expect(middles).toEqual([...middles].sort())
  expect(driftOf([reading('1', { value: '', goes: '0.25' })])).toBeNull()
})

test('figures are shown in the unit that was read', () => {
  expect(inUnit({ n: 254n, d: 1_000_000n }, 'in')).toBe('0.01')
  expect(spanInUnit({ n: 5n, d: 1n }, 'degF')).toBe('9')
})
