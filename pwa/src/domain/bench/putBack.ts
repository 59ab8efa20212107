import type { RemovalKind } from '../contract.ts'

/**
 * The order of putting back: the reverse of taking apart, bent as little as the rules allow.
 * Twin: `shopapi/bench/rules/put_back.py`, which says how and on what grounds; both run `fixtures/bench/put_back.json`.
 */
export type PutBackReason =
  | 'rule'
  | 'hidden'
  | 'behind'
  | 'belt_cover'
  | 'fill_bleed'
  | 'guards_last'
  | 'tests_last'
  | 'interlock_run'

/** A step as the order needs it. `hidden`: one of its fasteners cannot be seen or reached later. */
export interface OrderStep {
  id: string
  kind: RemovalKind
  behind_id: string | null
  hidden: boolean
}

/** A step that is not where the reverse has it: it waits for another. Of a circle: the next step of the circle. */
export interface Moved {
  id: string
  after_id: string
  reason: PutBackReason
}

/** Ids of steps in order; with a `circle` the order is the plain reverse. */
export interface PutBackOrder {
  order: string[]
  moved: Moved[]
  circle: Moved[]
}

/** What a step waits for, by its number: each number with the reason. */
type Waits = Map<number, PutBackReason>[]

/** @param rules pairs of ids, (before, after); those about unknown steps are passed over */
export function putBackOrder(
  takenApart: readonly OrderStep[],
  rules: readonly (readonly [before: string, after: string])[],
): PutBackOrder {
  const steps = takenApart.toReversed()
  const waits = waitsOf(steps, rules)
  const left = waits.map((each) => each.size)
  const after: number[][] = steps.map(() => [])
  waits.forEach((each, later) => {
    for (const first of each.keys()) after[first]?.push(later)
  })
  const order: number[] = []
  const placed = new Set<number>()
  for (;;) {
    const next = left.findIndex((count, at) => count === 0 && !placed.has(at))
    if (next < 0) break
    placed.add(next)
    order.push(next)
    for (const later of after[next] ?? []) left[later] = (left[later] ?? 0) - 1
  }
  const name = (at: number | undefined) => steps[at ?? -1]?.id ?? ''
  if (order.length < steps.length) {
    const rest = steps.map((_, at) => at).filter((at) => !placed.has(at))
    const found = shortestCircle(after, rest)
    const circle = found.map((at, number): Moved => {
      const next = found[(number + 1) % found.length] ?? at
      return { id: name(at), after_id: name(next), reason: waits[next]?.get(at) ?? 'rule' }
    })
    return { order: steps.map(({ id }) => id), moved: [], circle }
  }
  return { order: order.map(name), moved: movedOf(order, waits, name), circle: [] }
}

/** Steps that something overtook which is later in the reverse, each with the last step that it waited for. */
function movedOf(order: readonly number[], waits: Waits, name: (at: number) => string): Moved[] {
  const placeOf = new Map(order.map((at, number) => [at, number]))
  const moved: Moved[] = []
  let furthest = -1
  for (const at of order) {
    if (at < furthest) {
      const before = [...(waits[at] ?? [])]
      const [last, reason] = before.reduce((best, each) =>
        (placeOf.get(each[0]) ?? 0) > (placeOf.get(best[0]) ?? 0) ? each : best,
      )
      moved.push({ id: name(at), after_id: name(last), reason })
    }
    furthest = Math.max(furthest, at)
  }
  return moved
}

function waitsOf(steps: readonly OrderStep[], rules: readonly (readonly [string, string])[]): Waits {
  const number = new Map(steps.map(({ id }, at) => [id, at]))
  const waits: Waits = steps.map(() => new Map())
  const add = (before: number, later: number, reason: PutBackReason) => {
    const known = waits[later]
    if (known && !known.has(before)) known.set(before, reason)
  }
  for (const [a, b] of rules) {
    const [before, later] = [number.get(a), number.get(b)]
    if (before !== undefined && later !== undefined && before !== later) add(before, later, 'rule')
  }
  const told = waits.map((each) => new Set(each.keys()))
  steps.forEach(({ behind_id, hidden }, at) => {
    const cover = (behind_id ? number.get(behind_id) : undefined) ?? (hidden ? coverOver(steps, at) : -1)
    if (cover >= 0 && cover !== at && !told[at]?.has(cover)) add(at, cover, hidden ? 'hidden' : 'behind')
  })
  for (const [reason, first, second] of builtIn(steps))
    for (const before of first)
      for (const later of second) if (!told[before]?.has(later)) add(before, later, reason)
  return waits
}

/** The cover that came off last before a step: the next one in the reverse; -1 where there is none. */
const coverOver = (steps: readonly OrderStep[], at: number): number =>
  steps.findIndex(({ kind }, each) => each > at && kind === 'cover')

function builtIn(steps: readonly OrderStep[]): [PutBackReason, number[], number[]][] {
  const of = (...kinds: RemovalKind[]) => steps.flatMap(({ kind }, at) => (kinds.includes(kind) ? [at] : []))
  const [guards, tests] = [of('guard'), of('interlock_test', 'run_test')]
  const others = new Set([...guards, ...tests])
  const parts = steps.map((_, at) => at).filter((at) => !others.has(at))
  return [
    ['belt_cover', of('belt'), of('cover')],
    ['fill_bleed', of('fill'), of('bleed')],
    ['guards_last', parts, guards],
    ['tests_last', guards.length ? guards : parts, tests],
    ['interlock_run', of('interlock_test'), of('run_test')],
  ]
}

/** The shortest circle among the steps left over; of equal ones the one with the earliest step in the reverse. */
function shortestCircle(after: readonly (readonly number[])[], left: readonly number[]): number[] {
  let shortest: number[] = []
  const inside = new Set(left)
  const next = after.map((each) => each.filter((at) => inside.has(at)).sort((a, b) => a - b))
  for (const start of left) {
    // Of each step reached: where from, and how many steps there are from the start to it.
    const reached = new Map([[start, { from: start, steps: 1 }]])
    for (const [at, { steps }] of reached) {
      if (shortest.length && steps >= shortest.length) break
      if (next[at]?.includes(start)) {
        shortest = pathTo(reached, at)
        break
      }
      for (const later of next[at] ?? [])
        if (!reached.has(later)) reached.set(later, { from: at, steps: steps + 1 })
    }
  }
  return shortest
}

function pathTo(reached: ReadonlyMap<number, { from: number }>, end: number): number[] {
  const path = [end]
  for (let at = end; ; ) {
    const from = reached.get(at)?.from ?? at
    if (from === at) return path.reverse()
    path.push(from)
    at = from
  }
}
