import type { ShopDatabase } from './db'
import { type Entry, inOrder, isUnsent } from './entry'
import { deviceIn, freshDevice, readMeta, writeMeta } from './meta'

/** Gives the device a new identity and numbers what is unsent from 1; the commands keep their ids. */
export function beginAnew(db: ShopDatabase): Promise<void> {
  return db.run(
    'readwrite',
    ['outbox', 'meta'],
    async (tx) => {
      const before = await deviceIn(tx)
      const device = freshDevice({ forked: !before.retired })
      const outbox = tx.objectStore('outbox')
      const unsent = inOrder(await outbox.getAll(), before.id).filter(isUnsent)
      const renumbered = unsent.map((entry, at) => waiting(entry, device.id, at + 1))
      await Promise.all(renumbered.map((entry) => outbox.put(entry)))
      await writeMeta(tx, 'next_no', unsent.length + 1)
      await writeMeta(tx, 'device', device)
    },
    'strict',
  )
}

/**
 * Writes unsent commands that are still in memory but gone from the storage, because the browser evicted
 * it, down again behind those that are there. Returns how many there were.
 */
export function rescue(db: ShopDatabase, remembered: readonly Entry[]): Promise<number> {
  return db.run(
    'readwrite',
    ['outbox', 'kept', 'aside', 'meta'],
    async (tx) => {
      const stores = [tx.objectStore('outbox'), tx.objectStore('kept'), tx.objectStore('aside')]
      const stored = new Set((await Promise.all(stores.map((store) => store.getAllKeys()))).flat())
      const lost = remembered.filter((entry) => isUnsent(entry) && !stored.has(entry.id))
      const [first = 1, device] = await Promise.all([readMeta(tx, 'next_no'), deviceIn(tx)])
      const renumbered = lost.map((entry, at) => waiting(entry, device.id, first + at))
      await Promise.all(renumbered.map((entry) => tx.objectStore('outbox').put(entry)))
      await writeMeta(tx, 'next_no', first + lost.length)
      return lost.length
    },
    'strict',
  )
}

function waiting(entry: Entry, device_id: string, no: number): Entry {
  return { ...entry, device_id, no, status: 'waiting' }
}
