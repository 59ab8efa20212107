import { expect, test, vi } from 'vitest'
import { cellField } from './cells'
import type { CellKind } from './table'

const zone = vi.hoisted(() => ({ value: '' }))
vi.mock('../shopFormat', () => ({ zone }))

const field = (kind: CellKind, value: string) =>
  cellField({ key: 'at', label: '', width: 1, kind, value: () => value }, {})

test.each([
  ['America/Boise', '2026-11-30T00:05:09.250Z', '2026-11-29T17:05:09-07:00'],
  ['America/Boise', '2026-07-01T06:00:00Z', '2026-07-01T00:00:00-06:00'],
  ['Asia/Kolkata', '2026-11-30T20:00:00Z', '2026-12-01T01:30:00+05:30'],
  ['America/St_Johns', '2026-11-30T00:00:00Z', '2026-11-29T20:30:00-03:30'],
  ['UTC', '2026-11-30T00:00:00Z', '2026-11-30T00:00:00+00:00'],
])('in %s the CSV says %s as %s', (name, at, local) => {
  zone.value = name
  expect(field('moment', at)).toBe(local)
  expect(field('time', at)).toBe(local)
})

test('a day stays a day, and nothing stays nothing', () => {
  expect(field('day', '2026-11-30')).toBe('2026-11-30')
  expect(field('moment', '')).toBe('')
})
