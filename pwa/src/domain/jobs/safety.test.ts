import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { guardFinding } from '../dispatch/checkIn.ts'
import { finishes, openSafety } from './safety.ts'

const read = (name: string): any[] =>
  JSON.parse(readFileSync(new URL(`../../../../fixtures/jobs/${name}.json`, import.meta.url), 'utf8'))

test.each(read('safety'))(
  '$rank, $decided, “$words” after $acknowledged',
  ({ acknowledged, expect: why, ...finding }) => {
    expect(openSafety(finding, acknowledged)).toBe(why)
  },
)

test.each(read('check_in'))('$kind with $condition', ({ kind, condition, expect: words }) => {
  expect(guardFinding(kind, condition)?.words ?? null).toBe(words)
})

test('only the step from testing to ready says that the work is done', () => {
  expect(finishes('testing', 'ready')).toBe(true)
  expect(finishes('returned', 'ready')).toBe(false)
  expect(finishes('testing', 'repair')).toBe(false)
})
