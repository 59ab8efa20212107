import { expect, test } from 'vitest'
import vectors from '../../../../fixtures/parts/need_by.json'
import { hoursFrom, latestOrderDay } from './needBy.ts'

test.each(vectors.works)('$name', ({ works, from }) => {
  const listed = works.map(([key, hours, waits]) => ({
    key: String(key),
    hours: Number(hours),
    waits: waits === true,
  }))
  expect(Object.fromEntries(hoursFrom(listed))).toEqual(from)
})

const isWeekday = (day: string) => ![0, 6].includes(new Date(`${day}T00:00:00Z`).getUTCDay())

test.each(vectors.days)(
  'promised $promised, $hours h after, $lead days',
  ({ promised, hours, lead, order_by }) => {
    expect(latestOrderDay(promised, hours, lead, isWeekday)).toBe(order_by)
  },
)
