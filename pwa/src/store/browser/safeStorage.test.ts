import { afterEach, expect, test, vi } from 'vitest'
import { readStored, removeStored, writeStored } from './safeStorage'

afterEach(() => vi.unstubAllGlobals())

function keepTwo(): void {
  writeStored('drawbar.views.m1', 'a')
  writeStored('drawbar.views.m2', 'b')
  writeStored('drawbar.scheme', 'dark')
}
const kept = () => ['drawbar.views.m1', 'drawbar.views.m2', 'drawbar.scheme'].map(readStored)

test('all values of a prefix are removed, others stay', () => {
  const storage = Object.create({
    getItem: (key: string) => storage[key] ?? null,
    setItem: (key: string, value: string) => {
      storage[key] = value
    },
    removeItem: (key: string) => delete storage[key],
  })
  vi.stubGlobal('localStorage', storage)
  keepTwo()
  expect(kept()).toEqual(['a', 'b', 'dark'])
  removeStored('drawbar.views.')
  expect(kept()).toEqual([null, null, 'dark'])
})

test('where the browser forbids storage, the values of the page go', () => {
  keepTwo()
  removeStored('drawbar.views.')
  expect(kept()).toEqual([null, null, 'dark'])
})
