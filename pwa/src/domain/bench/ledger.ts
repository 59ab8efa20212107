import type { Fastener, FastenerMove } from '../contract.ts'
import { matchCheapest } from './matching.ts'

/**
 * The ledger of fasteners: what is still open, which places are empty, what was likely swapped, what is not tightened.
 * Twin: `shopapi/bench/rules/ledger.py`, which says how; both run `fixtures/bench/ledger.json`.
 */
export interface LedgerFastener
  extends Pick<Fastener, 'id' | 'thread' | 'length' | 'grade' | 'head' | 'count' | 'torque_critical'> {
  /** Nothing came out, it only has to be tightened again. */
  loosened: boolean
}

export type LedgerMove = Pick<
  FastenerMove,
  'fastener_id' | 'kind' | 'count' | 'at_id' | 'torque' | 'torque_unit'
>

/** The account of one size; `open` below zero: more are accounted for than there were. */
export interface SizeLine {
  /** The first fastener that has the size. */
  fastener_id: string
  out: number
  new: number
  back: number
  replaced: number
  scrapped: number
  spare: number
  open: number
}

/** A place that does not have what it had: how many it needs, has in its size, and has in others. */
export interface PlaceLine {
  fastener_id: string
  needed: number
  right: number
  wrong: number
}

/** `count` of the size of `extra_id` are too many at the place of `extra_at_id`; `missing_id` lacks as many. */
export interface Swap {
  missing_id: string
  extra_id: string
  extra_at_id: string
  count: number
}

export interface Ledger {
  sizes: SizeLine[]
  places: PlaceLine[]
  swaps: Swap[]
  /** Torque-critical fasteners that are not back or not tightened. */
  torqueOpen: string[]
}

const OTHER = { place: 1, grade: 5, head: 5, length: 10, thread: 1000 }
const FARTHEST_MM = 80
const MM_AN_INCH = 25.4

const neededBy = (row: LedgerFastener) => (row.loosened ? 0 : row.count)
/** The size of a fastener as it is compared: "m8 X 1.25" and "M8x1.25" are one. */
export const sizeKey = ({ thread, length, grade, head }: Pick<LedgerFastener, keyof typeof SIZE>): string =>
  [thread, length, grade, head].map(plain).join('\n')
const SIZE = { thread: '', length: '', grade: '', head: '' }
const plain = (typed: string) => typed.toLowerCase().replaceAll('×', 'x').replace(/\s+/g, '')

type Counts = Map<string, number>
const add = (counts: Counts, key: string, by: number) => counts.set(key, (counts.get(key) ?? 0) + by)
const countsOf = (table: Map<string, Counts>, key: string): Counts => {
  const found = table.get(key) ?? new Map<string, number>()
  table.set(key, found)
  return found
}

export function drawUpLedger(fasteners: readonly LedgerFastener[], moves: readonly LedgerMove[]): Ledger {
  const byId = new Map(fasteners.map((row) => [row.id, row]))
  const firstOf = new Map<string, string>()
  const totals = new Map<string, Counts>()
  /** How many of each size a place was given. */
  const filled = new Map<string, Counts>()
  const tightened = new Map<string, Counts>()
  for (const row of fasteners) {
    const size = sizeKey(row)
    if (!firstOf.has(size)) firstOf.set(size, row.id)
    add(countsOf(totals, size), 'out', neededBy(row))
  }
  for (const { fastener_id, kind, count, at_id, torque, torque_unit } of moves) {
    const moved = byId.get(fastener_id)
    if (!moved) continue
    if (kind === 'tightened') {
      add(countsOf(tightened, fastener_id), torque === null ? '' : `${torque} ${torque_unit}`, count)
      continue
    }
    const size = sizeKey(moved)
    add(countsOf(totals, size), kind, count)
    if (kind === 'back') add(countsOf(filled, at_id && byId.has(at_id) ? at_id : fastener_id), size, count)
  }
  const has = (row: LedgerFastener, size: string) => filled.get(row.id)?.get(size) ?? 0
  return {
    sizes: [...totals].map(([size, counts]) => sizeLine(firstOf.get(size) ?? '', counts)),
    places: fasteners.flatMap((row) => placeLine(row, filled.get(row.id))),
    swaps: swapsOf(fasteners, filled, firstOf),
    torqueOpen: fasteners
      .filter(
        (row) =>
          row.torque_critical &&
          (has(row, sizeKey(row)) < neededBy(row) ||
            Math.max(0, ...(tightened.get(row.id)?.values() ?? [])) < row.count),
      )
      .map(({ id }) => id),
  }
}

function sizeLine(fastener_id: string, counts: Counts): SizeLine {
  const of = (name: string) => counts.get(name) ?? 0
  const [out, bought, back] = [of('out'), of('new'), of('back')]
  const [replaced, scrapped, spare] = [of('replaced'), of('scrapped'), of('spare')]
  const open = out + bought - back - replaced - scrapped - spare
  return { fastener_id, out, new: bought, back, replaced, scrapped, spare, open }
}

function placeLine(row: LedgerFastener, has: Counts | undefined): PlaceLine[] {
  const size = sizeKey(row)
  const right = has?.get(size) ?? 0
  const wrong = [...(has ?? [])].reduce((sum, [each, count]) => (each === size ? sum : sum + count), 0)
  const needed = neededBy(row)
  return right === needed && wrong === 0 ? [] : [{ fastener_id: row.id, needed, right, wrong }]
}

/** A fastener as it is compared with others. */
interface Compared {
  id: string
  size: readonly string[]
  mm: number | null
}

const comparedOf = (row: LedgerFastener): Compared => ({
  id: row.id,
  size: [row.thread, row.length, row.grade, row.head].map(plain),
  mm: lengthMm(row),
})

function swapsOf(
  fasteners: readonly LedgerFastener[],
  filled: ReadonlyMap<string, Counts>,
  firstOf: ReadonlyMap<string, string>,
): Swap[] {
  const order = [...firstOf.keys()]
  const extra = fasteners.flatMap((row) => {
    const has = filled.get(row.id)
    if (!has) return []
    const own = sizeKey(row)
    return [...has]
      .sort(([a], [b]) => order.indexOf(a) - order.indexOf(b))
      .flatMap(([size, count]) =>
        times(count - (size === own ? neededBy(row) : 0), {
          extra_id: firstOf.get(size) ?? row.id,
          extra_at_id: row.id,
        }),
      )
  })
  if (!extra.length) return []
  const byId = new Map(fasteners.map((row) => [row.id, comparedOf(row)]))
  const missing = fasteners.flatMap((row) => {
    const count = neededBy(row) - (filled.get(row.id)?.get(sizeKey(row)) ?? 0)
    const lacking = count > 0 && byId.get(row.id)
    if (!lacking) return []
    const costs = extra.map(({ extra_id, extra_at_id }) =>
      swapCost(lacking, byId.get(extra_id) ?? lacking, extra_at_id),
    )
    return times(count, { id: row.id, costs })
  })
  const found = new Map<string, Swap>()
  for (const [row, column] of matchCheapest(missing.map(({ costs }) => costs))) {
    const [lacking, one] = [missing[row], extra[column]]
    if (!lacking || !one) continue
    const key = [lacking.id, one.extra_id, one.extra_at_id].join()
    const known = found.get(key)
    if (known) known.count += 1
    else found.set(key, { missing_id: lacking.id, ...one, count: 1 })
  }
  return [...found.values()]
}

const times = <Item>(count: number, item: Item): Item[] => new Array(Math.max(0, count)).fill(item)

/** How unlikely it is that one of `extra`, now at a place, belongs where one is lacking. The weights are ours. */
function swapCost(lacking: Compared, extra: Compared, extra_at_id: string): number {
  const [thread, length, grade, head] = lacking.size.map((each, at) => each !== extra.size[at])
  let cost = lacking.id === extra_at_id ? 0 : OTHER.place
  if (thread) cost += OTHER.thread
  if (length) {
    const apart = lacking.mm === null || extra.mm === null ? FARTHEST_MM : Math.abs(lacking.mm - extra.mm)
    cost += OTHER.length + Math.min(FARTHEST_MM, Math.floor(apart + 1e-9))
  }
  if (grade) cost += OTHER.grade
  return head ? cost + OTHER.head : cost
}

/** A typed length in millimetres; without a unit in that of its thread (mm for "M8", else in). Null: no length. */
export function lengthMm({ length, thread }: Pick<LedgerFastener, 'length' | 'thread'>): number | null {
  const typed = length.trim().toLowerCase()
  const parts = /^(?:([0-9]+)[ -]+)?([0-9]+)\/([1-9][0-9]*) *(?:in|")?$/.exec(typed)
  if (parts) return (Number(parts[1] ?? 0) + Number(parts[2]) / Number(parts[3])) * MM_AN_INCH
  const [, number, unit] = /^([0-9]+(?:\.[0-9]+)?) *(mm|in|")?$/.exec(typed) ?? []
  if (number === undefined) return null
  return Number(number) * (unit === 'mm' || (!unit && plain(thread).startsWith('m')) ? 1 : MM_AN_INCH)
}
