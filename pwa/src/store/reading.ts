import type { IDBPObjectStore } from 'idb'
import type { Kind, Row } from '../domain/rows'
import type { Schema, ShopDatabase } from './db'
import { inOrder } from './entry'
import { type Device, deviceIn, readMeta } from './meta'
import type { Key, Reading } from './view'

/** What is shown beside the rows and the outbox. */
export interface Standing {
  device: Device
  /** Whether the shop's rows have been fetched whole. */
  ready: boolean
  last_synced_at: string | null
}

/** Rows taken out of the storage at once; more would keep the thumb waiting. */
const AT_ONCE = 300

/** Everything the phone holds, in one consistent reading. */
export function readAll(db: ShopDatabase): Promise<Reading & Standing> {
  return read(db, async (base) => {
    const rows: (readonly [Kind, string, Row])[] = []
    let from: IDBKeyRange | undefined
    for (;;) {
      const records = await base.getAll(from, AT_ONCE)
      for (const { kind, id, row } of records) rows.push([kind, id, row])
      const last = records.at(-1)
      if (last === undefined || records.length < AT_ONCE) return rows
      from = IDBKeyRange.lowerBound([last.kind, last.id], true)
    }
  })
}

/** Some rows and the whole outbox, in one consistent reading. */
export function readKeys(db: ShopDatabase, keys: readonly Key[]): Promise<Reading & Standing> {
  return read(db, (base) =>
    Promise.all(
      keys.map(async ([kind, id]) => [kind, id, (await base.get([kind, id]))?.row ?? null] as const),
    ),
  )
}

function read(
  db: ShopDatabase,
  rowsOf: (
    base: IDBPObjectStore<Schema, ['base', 'outbox', 'meta'], 'base', 'readonly'>,
  ) => Promise<Reading['rows']>,
): Promise<Reading & Standing> {
  return db.run('readonly', ['base', 'outbox', 'meta'], async (tx) => {
    const [rows, outbox, device, generation, last_synced_at] = await Promise.all([
      rowsOf(tx.objectStore('base')),
      tx.objectStore('outbox').getAll(),
      deviceIn(tx),
      readMeta(tx, 'generation'),
      readMeta(tx, 'last_synced_at'),
    ])
    return {
      rows,
      outbox: inOrder(outbox, device.id),
      device,
      ready: generation !== undefined,
      last_synced_at: last_synced_at ?? null,
    }
  })
}
