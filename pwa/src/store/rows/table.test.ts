import fc from 'fast-check'
import { expect, test } from 'vitest'
import type { Run } from '../../domain/contract'
import { RowTable } from './table'

const id = fc.constantFrom('a', 'b', 'c', 'd')
const value = fc.constantFrom('one', 'two', null)
const step = fc.oneof(
  fc.record({ do: fc.constant('put' as const), id, rig_id: value, driver_id: value }),
  fc.record({ do: fc.constant('drop' as const), id }),
  fc.record({ do: fc.constant('ask' as const), field: fc.constantFrom('rig_id', 'driver_id') }),
)

test('rows are found by the value of a field, whenever its index is built', () => {
  fc.assert(
    fc.property(fc.array(step, { maxLength: 30 }), (steps) => {
      const table = new RowTable<'run'>()
      for (const one of steps) {
        if (one.do === 'put') table.put({ ...one } as unknown as Run)
        else if (one.do === 'drop') table.drop(one.id)
        else
          for (const owner of ['one', 'two']) {
            const held = [...table.rows.values()].filter((row) => row[one.field as 'rig_id'] === owner)
            expect([...table.idsWith(one.field as 'rig_id', owner)]).toEqual(held.map((row) => row.id))
          }
      }
    }),
    { numRuns: 500 },
  )
})

test('only text fields can be looked up', () => {
  const table = new RowTable<'run'>()
  expect([...table.idsWith('day', '2026-04-01')]).toEqual([])
  // @ts-expect-error: a rig's mass is a number
  expect([...new RowTable<'rig'>().idsWith('payload_kg', '300')]).toEqual([])
})
