import { expect, test } from 'vitest'
import { arrivalWindow } from './runs'

const at = (time: string) => Date.parse(`2026-05-05T${time}:00Z`)
const PLANNED = { arrives_from: '2026-05-05T13:20:00Z', arrives_to: '2026-05-05T13:45:00Z' }

test.each([
  [PLANNED, '13:00', '13:20', '13:45'],
  [PLANNED, '13:20', '13:20', '13:45'],
  [PLANNED, '14:05', '14:05', '14:30'],
  // Out to the next five minutes.
  [{ arrives_from: '2026-05-05T13:22:00Z', arrives_to: '2026-05-05T13:41:00Z' }, '13:00', '13:20', '13:45'],
  [{ arrives_from: '2026-05-05T13:22:00Z', arrives_to: '2026-05-05T13:41:00Z' }, '13:24', '13:24', '13:45'],
  [{ arrives_from: null, arrives_to: null }, '14:05', '14:05', '14:35'],
])('nobody is told of an arrival in the past', (stop, now, from, to) => {
  expect(arrivalWindow(stop, at(now))).toEqual([at(from), at(to)])
})
