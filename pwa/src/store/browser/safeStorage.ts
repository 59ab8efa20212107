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
