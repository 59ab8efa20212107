import { expect, test, vi } from 'vitest'
import { newId } from './clock'

test('ids sort in the order of creation: within one millisecond, and when the clock is set back', () => {
  vi.useFakeTimers({ now: Date.parse('2026-05-04T09:00:00Z'), toFake: ['Date'] })
  try {
    const minted = Array.from({ length: 50 }, newId)
    vi.setSystemTime(Date.parse('2026-05-04T08:00:00Z'))
    minted.push(newId(), newId())
    expect(minted.toSorted()).toEqual(minted)
    expect(new Set(minted).size).toBe(52)
  } finally {
    vi.useRealTimers()
  }
})
