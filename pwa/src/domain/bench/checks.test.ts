import { expect, test } from 'vitest'
import type { Check, CheckList } from '../contract.ts'
import { moment } from '../time.ts'
import { checkedItems, findingOfCheck, fitsMachine, latestChecks, listFor, nextItem } from './checks.ts'
import { EXAMPLE_LISTS, itemsOfExample } from './exampleLists.ts'

const at = (hour: number) => moment(Date.UTC(2026, 4, 5, hour))
const born = { created_at: at(0), changed_at: at(0) }
const item = (id: string) => ({ id, words: id, critical: false })

function check(id: string, item_id: string, more: Partial<Check> = {}): Check {
  return {
    id,
    item_id,
    job_id: 'job',
    list_name: '',
    item_words: item_id,
    critical: false,
    result: 'fine',
    words: '',
    finding_id: null,
    checked_at: at(8),
    checked_by_id: null,
    ...born,
    ...more,
  }
}

function list(id: string, machine_kind: string, ...items: string[]): CheckList {
  return { id, name: id, machine_kind, purpose: '', items: items.map(item), ...born }
}

test('the latest check of an item counts; at the same time, the one recorded last', () => {
  const checks = [
    check('1', 'belt', { result: 'bad', checked_at: at(9) }),
    check('2', 'belt', { result: 'worn' }),
    check('3', 'oil'),
    check('4', 'oil', { result: 'bad' }),
  ]
  expect([...latestChecks(checks)].map(([id, { result }]) => [id, result])).toEqual([
    ['belt', 'bad'],
    ['oil', 'bad'],
  ])
})

test('after an item the next one without a check comes up, then those left out before', () => {
  const items = (...done: string[]) =>
    checkedItems(
      list('l', '', 'a', 'b', 'c'),
      done.map((id) => check(id, id)),
    )
  expect(nextItem(items())?.id).toBe('a')
  expect(nextItem(items('b'), 'b')?.id).toBe('c')
  expect(nextItem(items('b', 'c'), 'c')?.id).toBe('a')
  // The rows of the answer just given may not be there yet: the item itself never comes again.
  expect(nextItem(items('a', 'b'), 'c')).toBeUndefined()
  expect(nextItem(items('a', 'b', 'c'))).toBeUndefined()
})

test('a list fits its kind of machine and the wider kind, or all', () => {
  expect(fitsMachine({ machine_kind: 'Mower' }, 'zero-turn mower')).toBe(true)
  expect(fitsMachine({ machine_kind: '' }, 'chipper')).toBe(true)
  expect(fitsMachine({ machine_kind: 'chipper' }, 'mower')).toBe(false)
})

test('the list used last on the job opens, else that of its kind, else one for all', () => {
  const lists = [list('all', '', 'a'), list('mowers', 'mower', 'b'), list('chippers', 'chipper', 'c')]
  expect(listFor(lists, [], 'mower')?.id).toBe('mowers')
  expect(listFor(lists, [], 'edger')?.id).toBe('all')
  expect(listFor(lists, [check('1', 'a')], 'mower')?.id).toBe('all')
  expect(listFor([], [], 'mower')).toBeUndefined()
})

test('a finding has the words of its item and note; what can hurt is safety only where it is bad', () => {
  const of = (more: Partial<Check>) => findingOfCheck(check('1', 'Seat switch', more))
  expect(of({ result: 'bad', critical: true, words: ' sticks ' })).toEqual({
    words: 'Seat switch: sticks',
    rank: 'safety',
  })
  expect(of({ result: 'bad' })).toEqual({ words: 'Seat switch', rank: 'needed' })
  expect(of({ result: 'worn', critical: true }).rank).toBe('advised')
})

test('an example gives every item an id of its own and marks what can hurt', () => {
  for (const example of EXAMPLE_LISTS) {
    let minted = 0
    const items = itemsOfExample(example, () => String(++minted))
    expect(new Set(items.map(({ id }) => id)).size).toBe(example.items.length)
    expect(items.some(({ critical }) => critical)).toBe(true)
    expect(items.every(({ words }) => words.length <= 200 && !words.startsWith('!'))).toBe(true)
  }
})
