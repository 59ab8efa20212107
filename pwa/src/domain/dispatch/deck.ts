/**
 * Order on the deck: it is loaded and unloaded from its rear, so the first drop has to be loaded last. Lengths are
 * centimetres from the front. Twin of `standings` in `shopapi/planner/loading/deck.py`.
 */

/** Tolerance of floating-point sums, so that what fits exactly is accepted. */
const GRAIN = 1e-6

/** One machine on the deck. */
export interface Piece {
  kg: number
  length_cm: number
  width_cm: number
}

/** `gap_cm`: the free space between two machines. */
export interface DeckRoom {
  length_cm: number
  width_cm: number
  lanes: number
  gap_cm: number
}

/** A change of the deck at a stop: a machine is loaded (`on`) or unloaded. */
export interface DeckMove {
  key: string
  on: boolean
}

/** `key` cannot be unloaded because `by` is behind it, or does not fit (`by` null). */
export interface BlockedPiece {
  key: string
  by: string | null
}

interface PlacedPiece {
  key: string
  front: number
  rear: number
  lane: number
  span: number
}

/** Null if the machines can be loaded and unloaded in this order in some use of the lanes; else what blocks them. */
export function findBlocked(
  deck: DeckRoom,
  pieces: ReadonlyMap<string, Piece>,
  atStart: readonly string[],
  moves: readonly DeckMove[],
  fixed: boolean,
): BlockedPiece | null {
  const keys = [...atStart, ...moves.filter(({ on }) => on).map(({ key }) => key)]
  const laneWidth = Math.max(1, deck.width_cm / deck.lanes)
  const spans = keys.map((key) =>
    Math.max(1, Math.ceil((pieces.get(key)?.width_cm ?? 0) / laneWidth - GRAIN)),
  )
  const narrow = keys.find((_, at) => (spans[at] ?? 1) > deck.lanes)
  if (narrow !== undefined) return { key: narrow, by: null }
  const drops = new Map(moves.flatMap(({ key, on }, at) => (on ? [] : [[key, at] as const])))
  const dropOf = (key: string) => drops.get(key) ?? moves.length
  const order = fixed ? [...atStart] : [...atStart].sort((a, b) => dropOf(b) - dropOf(a))
  let first: BlockedPiece | null = null
  for (const lanes of waysOver(spans.map((span) => deck.lanes - span + 1))) {
    const spot = new Map(keys.map((key, at) => [key, { lane: lanes[at] ?? 0, span: spans[at] ?? 1 }]))
    const blocked = play(deck, pieces, order, moves, spot)
    if (blocked === null) return null
    first ??= blocked
  }
  return first
}

/** Every choice of one number below each count. */
function* waysOver(counts: readonly number[]): Generator<number[]> {
  const [most, ...rest] = counts
  if (most === undefined) {
    yield []
    return
  }
  for (let at = 0; at < most; at++) for (const way of waysOver(rest)) yield [at, ...way]
}

function play(
  deck: DeckRoom,
  pieces: ReadonlyMap<string, Piece>,
  order: readonly string[],
  moves: readonly DeckMove[],
  spot: ReadonlyMap<string, { lane: number; span: number }>,
): BlockedPiece | null {
  let loaded: PlacedPiece[] = []
  for (const { key, on } of [...order.map((each) => ({ key: each, on: true })), ...moves]) {
    if (!on) {
      const here = loaded.find((placed) => placed.key === key)
      const behind = here && loaded.find((other) => isBehind(other, here))
      if (behind) return { key, by: behind.key }
      loaded = loaded.filter((placed) => placed.key !== key)
      continue
    }
    const { lane, span } = spot.get(key) ?? { lane: 0, span: 1 }
    const ahead = loaded
      .filter((other) => other.lane < lane + span && lane < other.lane + other.span)
      .map((other) => other.rear + deck.gap_cm)
    const front = Math.max(0, ...ahead)
    const rear = front + (pieces.get(key)?.length_cm ?? 0)
    if (rear > deck.length_cm + GRAIN) return { key, by: null }
    loaded.push({ key, front, rear, lane, span })
  }
  return null
}

function isBehind(other: PlacedPiece, here: PlacedPiece): boolean {
  const beside = other.lane + other.span <= here.lane || here.lane + here.span <= other.lane
  return !beside && other.front > here.front
}
