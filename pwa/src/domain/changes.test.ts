import fc from 'fast-check'
import { expect, test } from 'vitest'
import { changesNothing, changesOf } from './changes.ts'

const told = (before: string, after: string) => {
  const { order, off } = changesOf([...before], [...after])
  const marks = { same: '', new: '+', earlier: '^', later: 'v' }
  return `${order.map(({ id, how }) => id + marks[how]).join('')}${off.map((id) => `-${id}`).join('')}`
}

test.each([
  ['abc', 'abc', 'abc'],
  ['abc', 'ac', 'ac-b'],
  ['abc', 'abxc', 'abx+c'],
  // One stop moved, not all that it jumped over.
  ['abcd', 'dabc', 'd^abc'],
  ['abcd', 'bcda', 'bcdav'],
  ['abcd', 'xdab', 'x+d^ab-c'],
  ['', 'ab', 'a+b+'],
  ['ab', '', '-a-b'],
])('%s becomes %s: %s', (before, after, words) => {
  expect(told(before, after)).toBe(words)
})

test('what is said to stay keeps its order, and nothing is said of an order that stays', () => {
  const order = fc.uniqueArray(fc.constantFrom(...'abcdefgh'))
  fc.assert(
    fc.property(order, order, (before, after) => {
      const changes = changesOf(before, after)
      const still = changes.order.filter(({ how }) => how === 'same').map(({ id }) => id)
      expect(before.filter((id) => still.includes(id))).toEqual(still)
      expect(changesNothing(changes)).toBe(before.join('') === after.join(''))
    }),
  )
})
