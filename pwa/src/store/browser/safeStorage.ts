/** Small values of this browser. Where the browser forbids storage, they last as long as the page. */
const pageValues = new Map<string, string>()

export function readStored(key: string): string | null {
  try {
    return localStorage.getItem(key)
  } catch {
    return pageValues.get(key) ?? null
  }
}

export function writeStored(key: string, value: string | null): void {
  try {
    if (value === null) localStorage.removeItem(key)
    else localStorage.setItem(key, value)
  } catch {
    if (value === null) pageValues.delete(key)
    else pageValues.set(key, value)
  }
}

/** Removes every value whose key begins so. */
export function removeStored(prefix: string): void {
  for (const key of pageValues.keys()) if (key.startsWith(prefix)) pageValues.delete(key)
  try {
    for (const key of Object.keys(localStorage)) if (key.startsWith(prefix)) localStorage.removeItem(key)
  } catch {
    // Where storage is forbidden there is nothing more.
  }
}
