import { expect, test } from 'vitest'
import {
  JOB_TRANSITIONS,
  PLAN_REQUEST_TRANSITIONS,
  QUOTE_TRANSITIONS,
  RUN_TRANSITIONS,
  STOP_TRANSITIONS,
} from './contract'
import { mayMove, quoteMayBecome, runMayBecome, stopMayBecome } from './states'

// Written out here on their own, so that a table which changes on the server and in the contract is noticed.
test.each([
  [
    JOB_TRANSITIONS,
    `intake: diagnosis repair cancelled
     diagnosis: intake repair testing cancelled
     repair: diagnosis testing cancelled
     testing: diagnosis repair ready cancelled
     ready: repair testing returned
     returned: ready closed
     closed: returned
     cancelled: intake`,
  ],
  [
    QUOTE_TRANSITIONS,
    `draft: offered withdrawn
     offered: decided lapsed replaced withdrawn
     decided: replaced
     lapsed: decided replaced withdrawn
     replaced:
     withdrawn:`,
  ],
  [
    RUN_TRANSITIONS,
    `planned: locked driving cancelled
     locked: planned driving cancelled
     driving: done
     done:
     cancelled:`,
  ],
  [
    STOP_TRANSITIONS,
    `asked: planned driving arrived left failed dropped
     planned: asked driving arrived left failed dropped
     driving: asked planned arrived left failed
     arrived: left failed
     left:
     failed:
     dropped: asked arrived left failed`,
  ],
  [
    PLAN_REQUEST_TRANSITIONS,
    `waiting: running failed cancelled
     running: done failed cancelled
     done:
     failed:
     cancelled:`,
  ],
])('states change as they should %#', (table, written) => {
  const lines = Object.entries(table).map(([from, to]) => `${from}: ${to.join(' ')}`.trim())
  expect(lines).toEqual(written.split('\n').map((line) => line.trim()))
})

test('each question asks the table of its own resource', () => {
  expect([mayMove('returned', 'closed'), mayMove('closed', 'repair')]).toEqual([true, false])
  expect([quoteMayBecome('lapsed', 'decided'), quoteMayBecome('draft', 'decided')]).toEqual([true, false])
  expect([runMayBecome('planned', 'driving'), runMayBecome('done', 'driving')]).toEqual([true, false])
  expect([stopMayBecome('dropped', 'asked'), stopMayBecome('left', 'asked')]).toEqual([true, false])
})

test('a state that only a newer server knows goes nowhere', () => {
  expect(runMayBecome('towed' as never, 'done')).toBe(false)
})
