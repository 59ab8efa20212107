/**
 * Smallest sets of faulty components, whatever the components are. Twin of
 * `shopapi/bench/rules/diagnosis/hitting_sets.py`, which explains the terms and names the sources.
 */

/** The items without those that are not needed for `fails` to hold. */
export function smallestPart<Item>(
  items: readonly Item[],
  fails: (kept: readonly Item[]) => boolean,
): Item[] {
  let needed = [...items]
  for (const item of items) {
    const fewer = needed.filter((each) => each !== item)
    if (fails(fewer)) needed = fewer
  }
  return needed
}

/**
 * Every smallest set of at most `most` components (bits of a number) that explains what was seen if they alone are at
 * fault; `explains` holds for a larger set if for a smaller one.
 */
export function smallestDiagnoses(
  components: number,
  explains: (faulty: number) => boolean,
  most: number,
): number[] {
  const all = Array.from({ length: components }, (_, place) => 1 << place)
  const everything = all.reduce((sum, bit) => sum | bit, 0)
  if (!explains(everything)) return []
  const found: number[] = []
  let level = [0]
  for (let size = 0; size <= most; size += 1) {
    const following = new Set<number>()
    for (const faulty of level) {
      if (found.some((known) => !(known & ~faulty))) continue
      if (explains(faulty)) found.push(faulty)
      else if (size < most)
        for (const bit of conflictWithout(all, everything, explains, faulty)) following.add(faulty | bit)
    }
    level = [...following]
  }
  return found
}

/** A smallest conflict among the components that are not taken as faulty. */
const conflictWithout = (
  all: readonly number[],
  everything: number,
  explains: (faulty: number) => boolean,
  faulty: number,
): number[] =>
  smallestPart(
    all.filter((bit) => !(bit & faulty)),
    (sound) => !explains(sound.reduce((free, bit) => free & ~bit, everything)),
  )
