import { type KeyBinding, type KeyPlace, keyScopes, keysOf, worksNow } from '../keys'

export interface KeyGroup {
  readonly where: KeyPlace
  readonly bindings: readonly KeyBinding[]
}

/** What the keys do just now, the most particular place first; a key that it takes from a place below is not in that. */
export function keyGroups(): KeyGroup[] {
  const taken = new Set<string>()
  const groups = new Map<KeyPlace, KeyBinding[]>()
  for (const { where, bindings } of keyScopes.value) {
    const shown = bindings.filter((each) => worksNow(each) && keysOf(each).some((keys) => !taken.has(keys)))
    for (const keys of shown.flatMap(keysOf)) taken.add(keys)
    // Later ones come first in the registry; within a place they are read in the order of the screen.
    if (shown.length > 0) groups.set(where, [...shown, ...(groups.get(where) ?? [])])
  }
  return [...groups].map(([where, bindings]) => ({ where, bindings }))
}
