import { signal } from '@preact/signals'
import { isQuotaError } from './shopDatabase'

/** Why the phone could not save: it is full, or something else; null while it saves. */
export const saveTrouble = signal<'no_room' | 'unsaved' | null>(null)

/** Whether the browser has promised to keep what is stored here; null when it cannot say. */
export const isPersistent = signal<boolean | null>(null)

let hasAsked = false

/** After the first save the browser is asked to keep this site's data when room gets short. */
export function noteSaved(): void {
  saveTrouble.value = null
  if (hasAsked) return
  hasAsked = true
  void requestPersistence()
}

export function noteSaveError(error: unknown): void {
  saveTrouble.value = isQuotaError(error) ? 'no_room' : 'unsaved'
}

/** Bytes used and granted, where the browser tells. */
export async function readUsage(): Promise<{ used: number; granted: number } | null> {
  const estimate = await manager()?.estimate?.()
  return estimate?.usage === undefined || estimate.quota === undefined
    ? null
    : { used: estimate.usage, granted: estimate.quota }
}

async function requestPersistence(): Promise<void> {
  try {
    isPersistent.value = (await manager()?.persist?.()) ?? null
  } catch {
    isPersistent.value = null
  }
}

/** Some browsers have no storage manager, or only half of one. */
function manager(): Partial<StorageManager> | undefined {
  return typeof navigator === 'undefined' ? undefined : navigator.storage
}
