import { isUnsent, type OutboxEntry, sortedByNumber } from '../queue/entry'
import { deviceIn, freshDevice, readMeta, writeMeta } from './meta'
import type { ShopDatabase } from './shopDatabase'

/** Gives the device a new identity and numbers what is unsent from 1; the commands keep their ids. */
export function resetDevice(db: ShopDatabase): Promise<void> {
  return db.run(
    'readwrite',
    ['outbox', 'aside', 'meta'],
    async (tx) => {
      const aside = tx.objectStore('aside')
      // What was dismissed is not sent under the new identity.
      for (const entry of await aside.getAll())
        if (isUnsent(entry) && entry.earlier) await aside.put({ ...entry, ...entry.earlier })
      const before = await deviceIn(tx)
      const device = freshDevice({ forked: true })
      const outbox = tx.objectStore('outbox')
      const unsent = sortedByNumber(await outbox.getAll(), before.id).filter(isUnsent)
      const renumbered = unsent.map((entry, at) => asWaiting(entry, device.id, at + 1))
      await Promise.all(renumbered.map((entry) => outbox.put(entry)))
      await writeMeta(tx, 'next_no', unsent.length + 1)
      const contacts = (await readMeta(tx, 'contacts')) ?? []
      const renumber = (no: number) => 1 + unsent.filter((entry) => entry.no < no).length
      await writeMeta(
        tx,
        'contacts',
        contacts.map((each) => ({ ...each, no: renumber(each.no) })),
      )
      await writeMeta(tx, 'device', device)
    },
    'strict',
  )
}

/**
 * Stores unsent commands again that are still in memory but were evicted with the storage, numbered after those that
 * are there. Returns how many there were.
 */
export function restoreEvicted(db: ShopDatabase, remembered: readonly OutboxEntry[]): Promise<number> {
  return db.run(
    'readwrite',
    ['outbox', 'kept', 'aside', 'meta'],
    async (tx) => {
      const stores = [tx.objectStore('outbox'), tx.objectStore('kept'), tx.objectStore('aside')]
      const stored = new Set((await Promise.all(stores.map((store) => store.getAllKeys()))).flat())
      const lost = remembered.filter((entry) => isUnsent(entry) && !stored.has(entry.id))
      const [first = 1, device] = await Promise.all([readMeta(tx, 'next_no'), deviceIn(tx)])
      const renumbered = lost.map((entry, at) => asWaiting(entry, device.id, first + at))
      await Promise.all(renumbered.map((entry) => tx.objectStore('outbox').put(entry)))
      await writeMeta(tx, 'next_no', first + lost.length)
      return lost.length
    },
    'strict',
  )
}

function asWaiting(entry: OutboxEntry, device_id: string, no: number): OutboxEntry {
  return { ...entry, device_id, no, status: 'waiting' }
}
