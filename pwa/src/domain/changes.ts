/** What a plan does to the stops of one run that are still ahead. */
export interface OrderChange {
  /** The new order, each stop with how it comes to its place. */
  order: { id: string; how: 'same' | 'new' | 'earlier' | 'later' }[]
  /** What comes off the run. */
  off: string[]
}

/** The fewest stops that have to move for one order to become the other. */
export function changesOf(before: readonly string[], after: readonly string[]): OrderChange {
  const stay = longestInOrder(after.filter((id) => before.includes(id)).map((id) => before.indexOf(id)))
  const still = new Set(stay.map((at) => before[at]))
  const kept = before.filter((id) => after.includes(id))
  const order = after.map((id) => {
    if (!before.includes(id)) return { id, how: 'new' as const }
    if (still.has(id)) return { id, how: 'same' as const }
    const place = after.filter((each) => before.includes(each)).indexOf(id)
    return { id, how: place < kept.indexOf(id) ? ('earlier' as const) : ('later' as const) }
  })
  return { order, off: before.filter((id) => !after.includes(id)) }
}

export const changesNothing = ({ order, off }: OrderChange): boolean =>
  off.length === 0 && order.every(({ how }) => how === 'same')

/** The longest part of a list of different numbers that rises; the first such one. */
function longestInOrder(numbers: readonly number[]): number[] {
  const best: number[][] = []
  numbers.forEach((number, at) => {
    const before = best.slice(0, at).filter((run) => (run.at(-1) ?? -1) < number)
    const longest = before.reduce((one, other) => (other.length > one.length ? other : one), [] as number[])
    best.push([...longest, number])
  })
  return best.reduce((one, other) => (other.length > one.length ? other : one), [] as number[])
}
