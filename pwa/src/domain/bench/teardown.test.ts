import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { RemovalKind } from '../contract.ts'
import { drawUpLedger, lengthMm } from './ledger.ts'
import { matchCheapest } from './matching.ts'
import { putBackOrder } from './putBack.ts'

const read = (name: string): any[] =>
  JSON.parse(readFileSync(new URL(`../../../../fixtures/bench/${name}.json`, import.meta.url), 'utf8'))

test.each(read('put_back'))('put back: $name', ({ steps, rules, order, moved, circle }) => {
  const found = putBackOrder(
    steps.map(([id, kind, behind_id = null, hidden = false]: any[]) => ({ id, kind, behind_id, hidden })),
    rules,
  )
  const plain = (list: typeof found.moved) => list.map(({ id, after_id, reason }) => [id, after_id, reason])
  expect([found.order, plain(found.moved), plain(found.circle)]).toEqual([order, moved, circle])
})

const BLANK = { length: '', grade: '', head: '', loosened: false, torque_critical: false }

test.each(read('ledger'))('ledger: $name', ({ name: _, fasteners, moves, ...expected }) => {
  const found = drawUpLedger(
    fasteners.map((each: object) => ({ ...BLANK, ...each })),
    moves.map(([fastener_id, kind, count, at_id = null, tightened = '']: any[]) => {
      const [torque, torque_unit] = tightened.split(' ')
      return { fastener_id, kind, count, at_id, torque: torque || null, torque_unit: torque_unit ?? '' }
    }),
  )
  expect({
    sizes: found.sizes.map((line) => Object.values(line)),
    places: found.places.map((line) => Object.values(line)),
    swaps: found.swaps.map(({ missing_id, extra_id, extra_at_id, count }) => [
      missing_id,
      extra_id,
      extra_at_id,
      count,
    ]),
    torque_open: found.torqueOpen,
  }).toEqual(expected)
})

test.each(read('matching'))('matching of $costs', ({ costs, pairs }) => {
  expect(matchCheapest(costs)).toEqual(pairs)
})

test('lengths as they are typed', () => {
  expect(lengthMm({ thread: 'M8', length: '40' })).toBe(40)
  expect(lengthMm({ thread: '5/16-18', length: '1 1/4' })).toBe(31.75)
  expect(lengthMm({ thread: 'M8', length: '1 in' })).toBe(25.4)
  expect(lengthMm({ thread: 'M8', length: 'short' })).toBe(null)
})

test('five hundred steps with two thousand fasteners', () => {
  const kinds: RemovalKind[] = [
    'part',
    'cover',
    'belt',
    'guard',
    'fill',
    'bleed',
    'interlock_test',
    'run_test',
  ]
  const steps = Array.from({ length: 500 }, (_, number) => ({
    id: `${number}`,
    kind: kinds[number % kinds.length] ?? 'part',
    behind_id: null,
    hidden: false,
  }))
  const { order, circle } = putBackOrder(steps, [['10', '20']])
  expect([new Set(order).size, circle]).toEqual([500, []])
  const fasteners = Array.from({ length: 2000 }, (_, number) => ({
    ...BLANK,
    id: `${number}`,
    thread: `M${(number % 9) + 3}`,
    length: `${10 + (number % 7) * 5}`,
    count: 1 + (number % 4),
  }))
  const found = drawUpLedger(fasteners, [
    { fastener_id: '0', kind: 'back', count: 9, at_id: null, torque: null, torque_unit: '' },
  ])
  expect(found.swaps.reduce((sum, { count }) => sum + count, 0)).toBe(8)
})
