import { newId } from './clock'
import type { ShopDatabase } from './db'
import { inOrder, isUnsent } from './entry'
import { type Device, deviceIn, writeMeta } from './meta'

/** Gives the device a new identity and numbers what is unsent from 1; the commands keep their ids. */
export function beginAnew(db: ShopDatabase): Promise<void> {
  return db.run(
    'readwrite',
    ['outbox', 'meta'],
    async (tx) => {
      const before = await deviceIn(tx)
      const device: Device = {
        id: newId(),
        letter: null,
        epoch: null,
        retired: false,
        forked: !before.retired,
      }
      const outbox = tx.objectStore('outbox')
      const unsent = inOrder(await outbox.getAll(), before.id).filter(isUnsent)
      const renumbered = unsent.map((entry, at) => ({
        ...entry,
        device_id: device.id,
        no: at + 1,
        status: 'waiting' as const,
      }))
      await Promise.all(renumbered.map((entry) => outbox.put(entry)))
      await writeMeta(tx, 'next_no', unsent.length + 1)
      await writeMeta(tx, 'device', device)
    },
    'strict',
  )
}
