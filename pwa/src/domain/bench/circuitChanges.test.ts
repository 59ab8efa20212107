import { expect, test } from 'vitest'
import { faultsOfCircuit } from './circuit.ts'
import { closedWhen, freeKey, moveContact, putIntoWay, putPart, takeOut } from './circuitChanges.ts'
import { defaultCircuit, newPart } from './defaultCircuits.ts'

const model = defaultCircuit('geared')
const partsOf = ({ crank }: typeof model) => crank[0]?.contacts.map(({ part }) => part)

test('a new part goes to the end of its way, with what closes it', () => {
  const key = freeKey(model)
  const when = { control: 'seat', closed: true } as const
  const made = putPart(
    putIntoWay(model, 'crank', 0, key),
    newPart(key, 'switch', 'Seat switch, start contacts'),
    when,
  )
  expect(partsOf(made)?.at(-1)).toBe(key)
  expect(closedWhen(made, key)).toEqual(when)
  expect(faultsOfCircuit(made)).toEqual([])
  expect(freeKey(made)).not.toBe(key)
})

test('a part is moved within its way and no further', () => {
  expect(partsOf(moveContact(model, 'crank', 0, 1, -1))?.slice(0, 2)).toEqual(['fuse', 'battery'])
  expect(moveContact(model, 'crank', 0, 0, -1)).toEqual(model)
})

test('a part that is taken out of its last way is gone, an empty way too', () => {
  const rubbed = model.kill.findIndex(({ contacts }) => contacts[0]?.part === 'rubbed')
  const less = takeOut(model, 'kill', rubbed, 0)
  expect(less.kill.length).toBe(model.kill.length - 1)
  expect(less.parts.map(({ key }) => key)).not.toContain('rubbed')
  // The lead is still in other ways.
  expect(takeOut(model, 'kill', 0, 2).parts.length).toBe(model.parts.length)
})

test('a way is added beside the others', () => {
  const more = putIntoWay(model, 'crank', 1, 'key_start')
  expect(more.crank[1]).toEqual({ contacts: [{ part: 'key_start', control: 'key', closed: true }] })
})

test('what closes a part counts in every way that it is in', () => {
  const seat = model.parts.find(({ key }) => key === 'seat')
  if (!seat) throw new Error('no seat switch')
  const changed = putPart(model, seat, { control: 'seat', closed: true })
  const closed = changed.kill.flatMap(({ contacts }) => contacts.filter(({ part }) => part === 'seat'))
  expect(closed.map((contact) => contact.closed)).toEqual([true, true])
})
