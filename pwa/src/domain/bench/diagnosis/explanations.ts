/**
 * Which faults explain what was seen on a circuit, and how much each explanation weighs. Twin of
 * `shopapi/bench/rules/diagnosis/explanations.py`, which states the conventions; both run `fixtures/bench/diagnoses.json`.
 */

import type { CircuitModel, Observation } from '../../contract.ts'
import {
  type Case,
  casesOf,
  chanceOf,
  conducts,
  type Fickle,
  faultsOfPart,
  opens,
  type PartFault,
} from './faults.ts'
import { smallestDiagnoses, smallestPart } from './hittingSets.ts'

/** The bound of faults at once, unless told. */
export const MOST_FAULTS = 3

export interface FaultyPart {
  readonly part: string
  readonly fault: PartFault
}

/** Faults that together explain everything. `smallest`: no part can be left out of it. */
export interface Explanation {
  readonly faults: readonly FaultyPart[]
  readonly weight: number
  readonly smallest: boolean
}

/** Heaviest first; the twin's `Explanations`. */
export interface Explanations {
  readonly found: readonly Explanation[]
  readonly most: number
  readonly leftOut: readonly number[]
  readonly conflict: readonly number[]
}

/** A fault of a part in a place, with the logarithm of its odds. */
type Possible = readonly [place: number, fault: PartFault, odds: number]

/** Faults as bits of parts: which are open, closed, or fail now and then. */
export interface Assumption {
  readonly chosen: readonly Possible[]
  readonly parts: number
  readonly opened: number
  readonly closed: number
  readonly fickle: readonly Fickle[]
  readonly odds: number
}

/** Everything that explains the observations with at most `most` faults. */
export function explain(
  model: CircuitModel,
  observations: readonly Observation[],
  most = MOST_FAULTS,
): Explanations {
  const cases = casesOf(model, observations)
  const used = new Set(cases.flatMap(({ seen }) => seen))
  const leftOut = observations.flatMap((_, number) => (used.has(number) ? [] : [number]))
  const candidates = candidatesOf(model, cases, most)
  const kept: { assumption: Assumption; weight: number }[] = []
  eachAssumption(model, most, candidates, (assumption) => {
    const weight = logWeight(assumption, cases)
    if (weight !== null) kept.push({ assumption, weight })
  })
  if (!kept.length) return { found: [], most, leftOut, conflict: conflictOf(model, cases, most) }
  const top = kept.reduce((highest, { weight }) => Math.max(highest, weight), Number.NEGATIVE_INFINITY)
  const total = kept.reduce((sum, { weight }) => sum + Math.exp(weight - top), 0)
  const smallest = smallestOf(new Set(kept.map(({ assumption }) => assumption.parts)))
  const found = kept
    .map(({ assumption: { chosen, parts }, weight }) => ({
      faults: chosen.map(([place, fault]) => ({ part: model.parts[place]?.key ?? '', fault })),
      weight: Math.exp(weight - top) / total,
      smallest: smallest.has(parts),
    }))
    .sort((a, b) => b.weight - a.weight)
  return { found, most, leftOut, conflict: [] }
}

/** Every set of at most `most` faults that includes one of the candidates (sets of parts as bits), the smaller first. */
function eachAssumption(
  model: CircuitModel,
  most: number,
  candidates: readonly number[],
  use: (assumption: Assumption) => void,
): void {
  const possible = model.parts.map((part, place) =>
    faultsOfPart(model, part).map(([fault, odds]): Possible => [place, fault, Math.log(odds)]),
  )
  const choose = (parts: number, chosen: readonly Possible[], rest: readonly number[]) => {
    const [place, ...others] = rest
    if (place === undefined) use(assumptionOf(chosen, parts))
    else for (const each of possible[place] ?? []) choose(parts, [...chosen, each], others)
  }
  const combine = (size: number, from: number, parts: number, places: readonly number[]) => {
    if (size === 0) {
      if (candidates.some((candidate) => !(candidate & ~parts))) choose(parts, [], places)
      return
    }
    for (let place = from; place <= possible.length - size; place += 1)
      combine(size - 1, place + 1, parts | (1 << place), [...places, place])
  }
  for (let size = 0; size <= most; size += 1) combine(size, 0, 0, [])
}

/** Faults, each with its part and the log of its odds, as bits. */
export function assumptionOf(chosen: readonly Possible[], parts = 0): Assumption {
  let opened = 0
  let closed = 0
  let odds = 0
  const fickle: Fickle[] = []
  for (const [place, fault, log] of chosen) {
    odds += log
    if (fault === 'open') opened |= 1 << place
    else if (fault === 'closed') closed |= 1 << place
    else fickle.push([place, opens(fault)])
  }
  return { chosen, parts, opened, closed, fickle, odds }
}

/** The logarithm of prior odds times likelihood; null where it does not explain everything. */
function logWeight({ opened, closed, fickle, odds }: Assumption, cases: readonly Case[]): number | null {
  let weight = odds
  for (const each of cases) {
    const chance = chanceOf(each, opened, closed, fickle)
    if ((each.yes && chance <= 0) || (each.no && chance >= 1)) return null
    if (each.yes) weight += each.yes * Math.log(chance)
    if (each.no) weight += each.no * Math.log(1 - chance)
  }
  return weight
}

/** Sets of parts of which every explanation includes one: the smallest that could explain it by any behavior. */
function candidatesOf(model: CircuitModel, cases: readonly Case[], most: number): number[] {
  let canOpen = 0
  let canClose = 0
  model.parts.forEach((part, place) => {
    for (const [fault] of faultsOfPart(model, part))
      if (opens(fault)) canOpen |= 1 << place
      else canClose |= 1 << place
  })
  const isPossible = ({ ways, inverted, yes, no }: Case, free: number) => {
    const [on, off] = inverted ? [no, yes] : [yes, no]
    return (!on || conducts(ways, 0, free & canClose)) && (!off || !conducts(ways, free & canOpen, 0))
  }
  const explains = (faulty: number) => cases.every((each) => isPossible(each, faulty))
  return smallestDiagnoses(model.parts.length, explains, most)
}

/** Those sets that include no other. */
function smallestOf(sets: ReadonlySet<number>): Set<number> {
  const found: number[] = []
  for (const parts of [...sets].sort((a, b) => sizeOf(a) - sizeOf(b)))
    if (!found.some((known) => !(known & ~parts))) found.push(parts)
  return new Set(found)
}

function sizeOf(parts: number): number {
  let size = 0
  for (let rest = parts; rest; rest &= rest - 1) size += 1
  return size
}

/** The fewest observations that nothing explains together, by leaving out one case after the other. */
function conflictOf(model: CircuitModel, cases: readonly Case[], most: number): number[] {
  const against = new Map<string, readonly Case[]>()
  eachAssumption(model, most, [0], (assumption) => {
    const unexplained = cases.filter((each) => logWeight(assumption, [each]) === null)
    against.set(unexplained.map((each) => each.seen[0]).join(), unexplained)
  })
  const fails = (kept: readonly Case[]) => {
    const left = new Set(kept)
    return [...against.values()].every((unexplained) => unexplained.some((each) => left.has(each)))
  }
  return smallestPart(cases, fails)
    .flatMap(({ seen }) => seen)
    .sort((a, b) => a - b)
}
