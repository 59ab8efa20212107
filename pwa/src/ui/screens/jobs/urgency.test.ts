import { expect, test } from 'vitest'
import { toUrgency, urgencyErrors, urgencyOf } from './urgency'

test.each([
  [
    { urgency: 'usual', promised_on: null },
    { urgency: 'usual', promised_on: '' },
  ],
  [
    { urgency: 'usual', promised_on: '2026-06-30' },
    { urgency: 'by_date', promised_on: '2026-06-30' },
  ],
  [
    { urgency: 'down', promised_on: null },
    { urgency: 'down', promised_on: '' },
  ],
  [
    { urgency: 'down', promised_on: '2026-06-30' },
    { urgency: 'down', promised_on: '2026-06-30' },
  ],
] as const)('a job with %o is asked about as %o, and stays as it is', (job, asked) => {
  expect(urgencyOf(job)).toEqual(asked)
  expect(toUrgency(asked)).toEqual(job)
})

test('no hurry drops the date, and a job by a date needs one', () => {
  expect(toUrgency({ urgency: 'usual', promised_on: '2026-06-30' })).toEqual({
    urgency: 'usual',
    promised_on: null,
  })
  expect(urgencyErrors({ urgency: 'by_date', promised_on: '' })['promised_on']).toBe(
    'Enter the date it’s needed by',
  )
  expect(urgencyErrors({ urgency: 'down', promised_on: '' })['promised_on']).toBe(false)
})
