import { expect, test } from 'vitest'
import type { PutBackRule, RemovalStep, SheetEntry } from '../contract.ts'
import { knownRules } from './knownOrder.ts'

const step = (id: string, what: string, place = '') => ({ id, what, place }) as RemovalStep
const order = (id: string, first: string, second: string, words = '') =>
  ({ id, kind: 'order', first, second, words }) as SheetEntry
const rule = (before_id: string, after_id: string) => ({ before_id, after_id }) as PutBackRule

const STEPS = [step('a', 'Muffler'), step('b', 'Engine  shroud'), step('c', ''), step('d', 'muffler')]

test('a sheet’s order is offered where two steps answer to its names', () => {
  const entries = [
    order('1', 'engine shroud ', 'MUFFLER', 'Its bolt is behind'),
    order('2', 'Tank', 'Muffler'),
  ]
  expect(knownRules(entries, STEPS, [])).toEqual([
    { entry_id: '1', before_id: 'b', after_id: 'a', reason: 'Its bolt is behind' },
  ])
})

test('a step answers to its name with its place too', () => {
  const steps = [step('a', 'Cover', 'left'), step('b', 'Cover', 'right')]
  expect(knownRules([order('1', 'Cover, right', 'cover, left')], steps, [])).toMatchObject([
    { before_id: 'b', after_id: 'a' },
  ])
})

test('nothing is offered twice, against a rule of the job, or about one step', () => {
  const entries = [
    order('1', 'Engine shroud', 'Muffler'),
    order('2', 'engine shroud', 'muffler'),
    order('3', 'Muffler', 'muffler'),
    { ...order('4', 'Muffler', 'Engine shroud'), kind: 'lesson' } as SheetEntry,
  ]
  expect(knownRules(entries, STEPS, []).map(({ entry_id }) => entry_id)).toEqual(['1'])
  expect(knownRules(entries, STEPS, [rule('b', 'a')])).toEqual([])
  expect(knownRules(entries, STEPS, [rule('a', 'b')])).toEqual([])
})
