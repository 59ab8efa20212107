import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { guardItem } from '../dispatch/checkIn.ts'
import { finishes, isRepaired, itemWords, openSafety } from './safety.ts'

const read = (name: string): any[] =>
  JSON.parse(readFileSync(new URL(`../../../../fixtures/jobs/${name}.json`, import.meta.url), 'utf8'))

interface ItemCases {
  open: any[]
  repaired: any[]
  words: any[]
}

test.each(read('safety'))(
  '$rank, $decided, “$words” after $acknowledged',
  ({ acknowledged, expect: why, ...finding }) => {
    const told = acknowledged.map((finding_words: string) => ({ finding_words }))
    expect(openSafety(finding, told)).toBe(why)
  },
)

const itemCases = read('safety_items') as unknown as ItemCases

test.each(itemCases.open)('$title', ({ finding, told, items, no_bypass, expect: why }) => {
  const found = items.map((item: any) => ({ ...item.item, id: item.item.item_id, repaired: item.repaired }))
  expect(openSafety(finding, told, found, no_bypass)).toBe(why)
})

test.each(itemCases.repaired)('repaired after $trials', ({ trials, expect: repaired }) => {
  expect(isRepaired(trials)).toBe(repaired)
})

test.each(itemCases.words)('$device, $condition', ({ device, condition, expect: words }) => {
  expect(itemWords(device, condition)).toBe(words)
})

test.each(read('check_in'))('$kind with $condition', ({ kind, condition, expect: words, item }) => {
  const found = guardItem(kind, condition)
  expect(found?.words ?? null).toBe(words)
  expect(found ? { device: found.device, condition: found.condition } : undefined).toEqual(item)
})

test('only the step from testing to ready says that the work is done', () => {
  expect(finishes('testing', 'ready')).toBe(true)
  expect(finishes('returned', 'ready')).toBe(false)
  expect(finishes('testing', 'repair')).toBe(false)
})
