import { expect, test } from 'vitest'
import type { Machine } from '../contract.ts'
import { similarSize } from './similarSize.ts'

const machine = (id: string, rest: Partial<Machine>): Machine =>
  ({
    id,
    kind: 'Chipper',
    make: '',
    model: '',
    mass_kg: null,
    mass_typed: '',
    length_cm: null,
    length_typed: '',
    ...rest,
  }) as Machine

const mine = machine('mine', { make: 'Hartvale', model: 'GT 22' })

test.each<[string, Machine[], unknown]>([
  ['nothing noted', [machine('a', {})], null],
  ['itself does not count', [{ ...mine, mass_kg: 300 }], null],
  ['another kind does not count', [machine('a', { kind: 'Mower', mass_kg: 200 })], null],
  [
    'the largest of the kind, each measure by itself',
    [
      machine('a', { kind: ' chipper', mass_kg: 300, mass_typed: '661 lb', length_cm: 150 }),
      machine('b', { mass_kg: 250, length_cm: 180, length_typed: '71 in' }),
      machine('c', { length_cm: 400 }),
    ],
    {
      same: false,
      count: 2,
      size: { mass_kg: 300, mass_typed: '661 lb', length_cm: 180, length_typed: '71 in' },
    },
  ],
  [
    'its own make and model before its kind',
    [
      machine('a', { mass_kg: 900, length_cm: 300 }),
      machine('b', { kind: 'Tractor', make: 'HARTVALE', model: 'gt 22 ', mass_kg: 280 }),
    ],
    { same: true, count: 1, size: { mass_kg: 280, mass_typed: '', length_cm: null, length_typed: '' } },
  ],
])('%s', (_, known, expected) => expect(similarSize(mine, known)).toEqual(expected))

test('machines without make and model are not of one model', () =>
  expect(similarSize(machine('x', { kind: 'Mower' }), [machine('a', { mass_kg: 300 })])).toBeNull())
