import { signal } from '@preact/signals'
import { isFull } from './db'

/** Why the phone could not save: it is full, or something else; null while it saves. */
export const trouble = signal<'no_room' | 'unsaved' | null>(null)

/** Whether the browser has promised to keep what is stored here; null when it cannot say. */
export const kept = signal<boolean | null>(null)

let asked = false

/** After the first save the browser is asked to keep this site's data when room gets short. */
export function noteSaved(): void {
  trouble.value = null
  if (asked) return
  asked = true
  void askToKeep()
}

export function noteTrouble(error: unknown): void {
  trouble.value = isFull(error) ? 'no_room' : 'unsaved'
}

/** Bytes used and granted, where the browser tells. */
export async function roomUsed(): Promise<{ used: number; granted: number } | null> {
  const estimate = await manager()?.estimate?.()
  return estimate?.usage === undefined || estimate.quota === undefined
    ? null
    : { used: estimate.usage, granted: estimate.quota }
}

async function askToKeep(): Promise<void> {
  try {
    kept.value = (await manager()?.persist?.()) ?? null
  } catch {
    kept.value = null
  }
}

/** Some browsers have no storage manager, or only half of one. */
function manager(): Partial<StorageManager> | undefined {
  return typeof navigator === 'undefined' ? undefined : navigator.storage
}
