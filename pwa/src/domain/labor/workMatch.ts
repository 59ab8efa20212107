/** Finds the known operation that a text is about, to suggest its hours. A person decides about the suggestion. */
import { familyOf, nameKey, type WorkStats } from './history'

/** An operation with its times on one kind of machine. */
export type KnownWork = WorkStats & { operation: string }

/** How well the times of an operation fit a machine: by its kind first, then its family, then their number. */
export function machineSimilarity({ machine_kind, minutes }: KnownWork, machineKind: string): number {
  const own = nameKey(machine_kind) === nameKey(machineKind)
  const kin = familyOf(machine_kind) === familyOf(machineKind)
  return minutes.length * (own ? 10_000 : kin ? 100 : 1)
}

/**
 * The operation whose name has the most words in common with the text, at least half of its own; among equals the one
 * done most on such machines. Null: none.
 */
export function matchWork(text: string, works: readonly KnownWork[], machineKind: string): string | null {
  const said = wordsOf(text)
  const found = new Map<string, { shared: number; near: number }>()
  for (const work of works) {
    const named = wordsOf(work.operation)
    const shared = named.filter((word) => said.some((other) => isSame(word, other))).length
    if (!shared || shared * 2 < named.length) continue
    const before = found.get(work.operation)?.near ?? 0
    found.set(work.operation, { shared, near: before + machineSimilarity(work, machineKind) })
  }
  const [best] = [...found].sort(
    ([a, x], [b, y]) => y.shared - x.shared || y.near - x.near || (a < b ? -1 : 1),
  )
  return best?.[0] ?? null
}

function wordsOf(text: string): string[] {
  return nameKey(text)
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word.length >= 3)
}

/** The same word, also with another ending: belt and belts, carb and carburetor. */
function isSame(a: string, b: string): boolean {
  const [short, long] = a.length < b.length ? [a, b] : [b, a]
  return short === long || (short.length >= 4 && long.startsWith(short))
}
