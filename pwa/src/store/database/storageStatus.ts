import { signal } from '@preact/signals'
import { isQuotaError } from './shopDatabase'

/** Why the last save failed: storage full, or another error; null after a success. */
export const saveTrouble = signal<'no_room' | 'unsaved' | null>(null)

/** Whether storage is persistent; null when the browser does not say. */
export const isPersistent = signal<boolean | null>(null)

let hasAsked = false

/** Requests persistent storage after the first save. */
export function noteSaved(): void {
  saveTrouble.value = null
  if (hasAsked) return
  hasAsked = true
  void requestPersistence()
}

export function noteSaveError(error: unknown): void {
  saveTrouble.value = isQuotaError(error) ? 'no_room' : 'unsaved'
}

/** Bytes used and granted, where the browser reports them. */
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

/** Some browsers lack the storage manager or parts of it. */
function manager(): Partial<StorageManager> | undefined {
  return typeof navigator === 'undefined' ? undefined : navigator.storage
}
