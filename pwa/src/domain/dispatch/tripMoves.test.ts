import fc from 'fast-check'
import { expect, test } from 'vitest'
import { joinTripBefore, type PlacedStop, reverseMoves, splitTripAt, type TripMove } from './tripMoves.ts'

/** A run by its trips, as "ab|c". */
const run = (words: string): PlacedStop[] =>
  words.split('|').flatMap((trip, at) => [...trip].map((id, position) => ({ id, trip: at, position })))

/** What `move_stop` does with each move, here and on the server. */
function after(stops: readonly PlacedStop[], moves: readonly TripMove[]): string {
  const trips: string[][] = [[], [], [], [], [], []]
  for (const { id, trip } of stops) trips[trip]?.push(id)
  for (const { id, to } of moves) {
    for (const trip of trips) if (trip.includes(id)) trip.splice(trip.indexOf(id), 1)
    trips[to.trip]?.splice(to.position, 0, id)
  }
  return trips
    .map((trip) => trip.join(''))
    .join('|')
    .replace(/\|+$/u, '')
}

test.each([
  ['abcd', 'c', 'ab|cd'],
  ['abcd', 'd', 'abc|d'],
  ['abc|de|f', 'b', 'a|bc|de|f'],
  ['abc|de|f', 'e', 'abc|d|e|f'],
  // The first of a trip has the yard before it already.
  ['abcd', 'a', 'abcd'],
  ['ab|cd', 'c', 'ab|cd'],
])('in %s a new trip begins with %s: %s', (words, id, then) => {
  expect(after(run(words), splitTripAt(run(words), id))).toBe(then)
})

test.each([
  ['ab|cd', 'c', 'abcd'],
  ['a|bc|de|f', 'b', 'abc|de|f'],
  ['a|bc|de|f', 'f', 'a|bc|def'],
  ['ab|cd', 'd', 'ab|cd'],
  ['ab|cd', 'a', 'ab|cd'],
])('in %s the trip that begins with %s joins the one before: %s', (words, id, then) => {
  expect(after(run(words), joinTripBefore(run(words), id))).toBe(then)
})

test('each of the two is undone by the other, and both by being put back', () => {
  const trips = fc.array(fc.integer({ min: 1, max: 4 }), { minLength: 1, maxLength: 4 })
  fc.assert(
    fc.property(trips, fc.nat(15), (sizes, pick) => {
      let next = 97
      const words = sizes
        .map((size) => Array.from({ length: size }, () => String.fromCharCode(next++)).join(''))
        .join('|')
      const id = words.replaceAll('|', '')[pick % words.replaceAll('|', '').length] ?? 'a'
      const moves = splitTripAt(run(words), id)
      const split = after(run(words), moves)
      expect(after(run(split), reverseMoves(moves))).toBe(words)
      if (moves.length > 0) {
        expect(split).not.toBe(words)
        expect(after(run(split), joinTripBefore(run(split), id))).toBe(words)
      }
    }),
  )
})
