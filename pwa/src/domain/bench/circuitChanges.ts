/** Changes of a circuit's parts and ways, as the screens make them. Each gives a new circuit. */

import type { CircuitContact, CircuitModel, CircuitPart, Control } from '../contract.ts'
import { contactsOf } from './circuit.ts'

export type Chain = 'crank' | 'kill'

/** When a part's contacts are closed; without a control at all times, or never. */
export interface ClosedWhen {
  readonly control: Control | null
  readonly closed: boolean
}

/** When a part's first contact is closed; a part in no way: always. */
export function closedWhen(model: CircuitModel, part: string): ClosedWhen {
  const found = contactsOf(model).find((contact) => contact.part === part)
  return found ? { control: found.control, closed: found.closed } : { control: null, closed: true }
}

/** Puts a part into a way, at its end. A way after the last is added. */
export function putIntoWay(model: CircuitModel, chain: Chain, way: number, part: string): CircuitModel {
  const contact: CircuitContact = { part, ...closedWhen(model, part) }
  if (way >= model[chain].length) return { ...model, [chain]: [...model[chain], { contacts: [contact] }] }
  return changeWay(model, chain, way, (contacts) => [...contacts, contact])
}

/** Takes the contact in a place out of a way; an empty way goes, and so does a part that is then in no way. */
export function takeOut(model: CircuitModel, chain: Chain, way: number, place: number): CircuitModel {
  const without = changeWay(model, chain, way, (contacts) => contacts.filter((_, each) => each !== place))
  const left = { ...without, [chain]: without[chain].filter(({ contacts }) => contacts.length) }
  const used = new Set(contactsOf(left).map(({ part }) => part))
  return { ...left, parts: left.parts.filter(({ key }) => used.has(key)) }
}

/** Moves the contact in a place one earlier or later. */
export function moveContact(
  model: CircuitModel,
  chain: Chain,
  way: number,
  place: number,
  by: 1 | -1,
): CircuitModel {
  return changeWay(model, chain, way, (contacts) => {
    const moved = contacts[place]
    const other = contacts[place + by]
    if (!moved || !other) return contacts
    return contacts.map((each, number) => (number === place ? other : number === place + by ? moved : each))
  })
}

/** Replaces a part, or adds it, with when all its contacts are closed. */
export function putPart(model: CircuitModel, part: CircuitPart, when: ClosedWhen): CircuitModel {
  const isKnown = model.parts.some(({ key }) => key === part.key)
  const set = (contacts: readonly CircuitContact[]) =>
    contacts.map((each) => (each.part === part.key ? { part: part.key, ...when } : each))
  return {
    ...model,
    parts: isKnown
      ? model.parts.map((each) => (each.key === part.key ? part : each))
      : [...model.parts, part],
    crank: model.crank.map(({ contacts }) => ({ contacts: set(contacts) })),
    kill: model.kill.map(({ contacts }) => ({ contacts: set(contacts) })),
  }
}

/** A key that no part has. */
export function freeKey(model: CircuitModel): string {
  const taken = new Set(model.parts.map(({ key }) => key))
  let number = model.parts.length + 1
  while (taken.has(`part_${number}`)) number += 1
  return `part_${number}`
}

const changeWay = (
  model: CircuitModel,
  chain: Chain,
  way: number,
  change: (contacts: readonly CircuitContact[]) => readonly CircuitContact[],
): CircuitModel => ({
  ...model,
  [chain]: model[chain].map(({ contacts }, each) => ({
    contacts: each === way ? change(contacts) : contacts,
  })),
})
