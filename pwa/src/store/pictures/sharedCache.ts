/** The cache of what other apps shared. In the first bundle, so that Today can count it. */
import { SHARED } from '../../domain/shared'

/** Null where the browser keeps nothing, such as without HTTPS. */
export async function openShared(): Promise<Cache | null> {
  try {
    return await caches.open(SHARED.cache)
  } catch {
    return null
  }
}

/** Deletes everything that waits, when the shop leaves this phone. */
export async function eraseShared(): Promise<void> {
  try {
    await caches.delete(SHARED.cache)
  } catch {
    // Where the browser keeps nothing, nothing waits.
  }
}

/** How many pictures and texts wait for a place. */
export const countShared = async (): Promise<number> => (await (await openShared())?.keys())?.length ?? 0
