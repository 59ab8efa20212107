/**
 * The faults that a part can have, how likely each is before any observation, and what it does to a try. Twin of
 * `shopapi/bench/rules/diagnosis/faults.py`.
 */

import type {
  CircuitContact,
  CircuitModel,
  CircuitPart,
  CircuitPartKind,
  ControlStates,
  Observation,
} from '../../contract.ts'
import { contactsOf, isClosed, isInverted, waysMeasured } from '../circuit.ts'

/** Stays open, stays closed, is open or closed now and then although it should not be. */
export type PartFault = 'open' | 'closed' | 'sometimes_open' | 'sometimes_closed'

export const FAULTS: readonly PartFault[] = ['open', 'closed', 'sometimes_open', 'sometimes_closed']

export const opens = (fault: PartFault): boolean => fault === 'open' || fault === 'sometimes_open'

/** Of 1,000 machines that come in, how many have it at fault. Assumptions without a source. */
export const PER_THOUSAND: Readonly<Record<CircuitPartKind, number>> = {
  switch: 6,
  relay: 3,
  connector: 5,
  wire: 3,
  fuse: 3,
  battery: 6,
  solenoid: 4,
  starter: 2,
  module: 2,
}
/** How the faults of a kind divide, of 100, as FAULTS are ordered. Assumptions without a source. */
const SHARES: Readonly<Record<CircuitPartKind, readonly number[]>> = {
  switch: [30, 15, 40, 15],
  relay: [40, 10, 40, 10],
  connector: [30, 0, 70, 0],
  wire: [40, 20, 30, 10],
  fuse: [90, 0, 10, 0],
  battery: [60, 0, 40, 0],
  solenoid: [50, 10, 40, 0],
  starter: [50, 0, 50, 0],
  module: [35, 35, 15, 15],
}

/** Of a kind that only a newer server knows: any fault is possible. */
const UNKNOWN_KIND = { shares: [25, 25, 25, 25], perThousand: 4 }

/** Like tries taken together: the twin's `Case`. `whole`: every part in one of the ways. */
export interface Case {
  readonly ways: readonly (readonly [whole: number, resting: number])[]
  readonly whole: number
  readonly inverted: boolean
  readonly passes: readonly number[]
  readonly yes: number
  readonly no: number
  readonly seen: readonly number[]
}

/** A part that fails now and then, and whether by opening. */
export type Fickle = readonly [part: number, opens: boolean]

export function conducts(ways: Case['ways'], opened: number, closed: number): boolean {
  for (const [whole, resting] of ways) if (!(whole & opened) && !(resting & ~closed)) return true
  return false
}

/** The chance of yes in one try. */
export function chanceOf(
  tried: Pick<Case, 'ways' | 'whole' | 'inverted' | 'passes'>,
  opened: number,
  closed: number,
  fickle: readonly Fickle[],
  from = 0,
): number {
  let next = from
  let one = fickle[next]
  while (one && !(tried.whole & (1 << one[0]))) {
    next += 1
    one = fickle[next]
  }
  if (!one) return conducts(tried.ways, opened, closed) === tried.inverted ? 0 : 1
  const bit = 1 << one[0]
  const passes = tried.passes[one[0]] ?? 0
  const works = chanceOf(tried, opened, closed, fickle, next + 1)
  const fails = one[1]
    ? chanceOf(tried, opened | bit, closed, fickle, next + 1)
    : chanceOf(tried, opened, closed | bit, fickle, next + 1)
  return passes * works + (1 - passes) * fails
}

/** The faults that show in some contact of a part, each with its odds against no fault. */
export function faultsOfPart(model: CircuitModel, part: CircuitPart): (readonly [PartFault, number])[] {
  const contacts = contactsOf(model).filter((contact) => contact.part === part.key)
  const canOpen = contacts.some(({ control, closed }) => control || closed)
  const canClose = contacts.some(({ control, closed }) => control || !closed)
  const shares = SHARES[part.kind] ?? UNKNOWN_KIND.shares
  const possible = FAULTS.map((fault, place) => [fault, shares[place] ?? 0] as const).filter(
    ([fault, share]) => share && (opens(fault) ? canOpen : canClose),
  )
  const whole = possible.reduce((sum, [, share]) => sum + share, 0)
  const chance = (part.per_thousand ?? PER_THOUSAND[part.kind] ?? UNKNOWN_KIND.perThousand) / 1000
  return possible.map(([fault, share]) => [fault, (chance * share) / whole / (1 - chance)])
}

/**
 * What an observation was of, without its result; null where the circuit no longer has the part, or has a control, or the
 * observation a check, that only a newer server knows.
 */
export function caseOf(model: CircuitModel, seen: Observation): Omit<Case, 'yes' | 'no' | 'seen'> | null {
  const found = waysMeasured(model, seen.check, seen.part)
  if (!found.length && seen.check !== 'run') return null
  if (found.flat().some(({ control }) => control && !(control in seen.controls))) return null
  const places = new Map(model.parts.map(({ key }, place) => [key, place]))
  const ways = found.map((way) => bitsOf(way, seen.controls, places))
  return {
    ways,
    whole: ways.reduce((sum, [whole]) => sum | whole, 0),
    inverted: isInverted(model, seen.check),
    passes: passesOf(model, seen),
  }
}

function bitsOf(
  way: readonly CircuitContact[],
  controls: ControlStates,
  places: ReadonlyMap<string, number>,
): readonly [number, number] {
  let whole = 0
  let resting = 0
  for (const contact of way) {
    const bit = 1 << (places.get(contact.part) ?? 0)
    whole |= bit
    if (!isClosed(contact, controls)) resting |= bit
  }
  return [whole, resting]
}

/** By part, in what share of tries under these conditions it works although it fails now and then. */
function passesOf({ parts, pass_percents }: CircuitModel, { heat, wet, shaken }: Observation): number[] {
  const lower = [
    ...(heat === 'hot' ? [pass_percents.hot] : []),
    ...(wet ? [pass_percents.wet] : []),
    ...(shaken ? [pass_percents.shaken] : []),
  ]
  return parts.map(({ pass_percent }) => Math.min(pass_percent ?? pass_percents.usual, ...lower) / 100)
}

/** The observations, like ones taken together; those of parts that are gone are left out. */
export function casesOf(model: CircuitModel, observations: readonly Observation[]): Case[] {
  const found = new Map<string, Case>()
  observations.forEach((seen, number) => {
    const tried = caseOf(model, seen)
    if (!tried) return
    const like = JSON.stringify(tried)
    const before = found.get(like) ?? { ...tried, yes: 0, no: 0, seen: [] }
    found.set(like, {
      ...before,
      yes: before.yes + seen.yes,
      no: before.no + seen.tries - seen.yes,
      seen: [...before.seen, number],
    })
  })
  return [...found.values()]
}
