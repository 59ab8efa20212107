/** Small values of this browser. Some browsers forbid the storage; then they last as long as the page. */
const forgotten = new Map<string, string>()

export function recall(key: string): string | null {
  try {
    return localStorage.getItem(key)
  } catch {
    return forgotten.get(key) ?? null
  }
}

export function remember(key: string, value: string | null): void {
  try {
    if (value === null) localStorage.removeItem(key)
    else localStorage.setItem(key, value)
  } catch {
    if (value === null) forgotten.delete(key)
    else forgotten.set(key, value)
  }
}
