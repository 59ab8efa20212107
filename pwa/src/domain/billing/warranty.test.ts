/** The vectors of `fixtures/billing`, which the server's twin runs as well (`tests/billing/test_days.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { notCredited, type WarrantyState, warrantyStanding } from './warranty.ts'

interface Case {
  from: string
  days: number | null
  hours: string | null
  on: string
  readings: [segment: number, hours: string, read_on: string][]
  expect: WarrantyState
  through: string | null
  through_hours: string | null
}

const vectors = (name: string) =>
  JSON.parse(readFileSync(new URL(`../../../../fixtures/billing/${name}`, import.meta.url), 'utf8'))

test.each(vectors('warranty.json') as Case[])('$from, $days days, $hours h, on $on: $expect', (one) => {
  const readings = one.readings.map(([segment, hours, read_on]) => ({ segment, hours, read_on }))
  const found = warrantyStanding({ from_on: one.from, days: one.days, hours: one.hours }, one.on, readings)
  expect(found).toEqual({ state: one.expect, through: one.through, through_hours: one.through_hours })
})

type Mark = [position: number, kind: string, quote_line_id: string | null, need_id: string | null]

test.each(
  vectors('credited_lines.json') as { name: string; lines: Mark[]; credited: Mark[]; expect: number[] }[],
)('$name', ({ lines, credited, expect: left }) => {
  const marks = (rows: Mark[]) =>
    rows.map(([position, kind, quote_line_id, need_id], at) => ({
      position,
      kind,
      quote_line_id,
      need_id,
      at,
    }))
  expect(notCredited(marks(lines), marks(credited)).map(({ at }) => at)).toEqual(left)
})
