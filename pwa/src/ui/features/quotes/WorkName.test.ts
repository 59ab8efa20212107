import { describe, expect, test } from 'vitest'
import type { WorkHistory } from '../../../domain/contract'
import { hoursRounded, hoursRoundedDown, hoursRoundedUp } from '../../hoursText'
import { suggested } from './WorkName'

function known(operation: string, machine_kind: string, jobs: number): WorkHistory {
  const minutes = Array.from({ length: jobs }, () => 30)
  return {
    id: `${operation} ${machine_kind}`,
    created_at: '',
    changed_at: '',
    operation,
    machine_kind,
    minutes,
    reworked: 0,
  }
}

const rows = [
  known('belt', 'lawn tractor', 3),
  known('blades', 'garden tractor', 1),
  known('brake adjust', 'chipper', 90),
  known('oil change', 'garden tractor', 2),
]

describe('works to tap', () => {
  test('works of this kind come first, then of its family, then by number of jobs', () => {
    expect(suggested(rows, '', 'Garden tractor')).toEqual(['oil change', 'blades', 'belt', 'brake adjust'])
  })
  test('only works that contain the typed text', () => {
    expect(suggested(rows, ' B', 'garden tractor')).toEqual(['blades', 'belt', 'brake adjust'])
  })
  test('none once a work is chosen', () => {
    expect(suggested(rows, 'Belt', 'garden tractor')).toEqual([])
  })
})

test('interval ends are rounded outwards', () => {
  expect([hoursRoundedDown(47), hoursRounded(47), hoursRoundedUp(47)]).toEqual(['0.7', '0.8', '0.8'])
  expect([hoursRoundedDown(3), hoursRounded(2), hoursRoundedUp(1)]).toEqual(['0', '0.1', '0.1'])
})
