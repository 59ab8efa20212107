import type { IDBPObjectStore } from 'idb'
import type { Kind, Row } from '../../domain/contract'
import { sortedByNumber } from '../queue/entry'
import type { RowKey, StoredRows } from '../rows/view'
import { clockAheadMs, type Device, deviceIn, readMeta } from './meta'
import type { Schema, ShopDatabase } from './shopDatabase'

/** Stored values besides the rows and the outbox. */
export interface DeviceStatus {
  device: Device
  /** Whether there are rows to work with: at least open work and whom it is about. */
  ready: boolean
  /** Whether all rows of the shop have been fetched at some time. */
  complete: boolean
  /** How many rows have come and about how many there are, while the first snapshot is fetched. */
  fetched: number
  total: number | null
  last_synced_at: string | null
  /** How far this phone's clock is ahead of the server's, in ms; null: not known yet. */
  ahead_ms: number | null
}

/** Rows read at once; more would block the screen. */
const ROWS_PER_READ = 300

/** Everything stored, in one consistent read. */
export function readAll(db: ShopDatabase): Promise<StoredRows & DeviceStatus> {
  return read(db, async (base) => {
    const rows: (readonly [Kind, string, Row])[] = []
    let from: IDBKeyRange | undefined
    for (;;) {
      const records = await base.getAll(from, ROWS_PER_READ)
      for (const { kind, id, row } of records) rows.push([kind, id, row])
      const last = records.at(-1)
      if (last === undefined || records.length < ROWS_PER_READ) return rows
      from = IDBKeyRange.lowerBound([last.kind, last.id], true)
    }
  })
}

/** Some rows and the whole outbox, in one consistent read. */
export function readKeys(db: ShopDatabase, keys: readonly RowKey[]): Promise<StoredRows & DeviceStatus> {
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
  ) => Promise<StoredRows['rows']>,
): Promise<StoredRows & DeviceStatus> {
  return db.run('readonly', ['base', 'outbox', 'meta'], async (tx) => {
    const [rows, outbox, device, generation, first, snapshot, last_synced_at, contacts] = await Promise.all([
      rowsOf(tx.objectStore('base')),
      tx.objectStore('outbox').getAll(),
      deviceIn(tx),
      readMeta(tx, 'generation'),
      readMeta(tx, 'first'),
      readMeta(tx, 'snapshot'),
      readMeta(tx, 'last_synced_at'),
      readMeta(tx, 'contacts'),
    ])
    return {
      rows,
      outbox: sortedByNumber(outbox, device.id),
      device,
      ready: generation !== undefined || first?.after === null,
      complete: generation !== undefined,
      fetched: snapshot?.fetched ?? 0,
      total: snapshot?.total ?? null,
      last_synced_at: last_synced_at ?? null,
      ahead_ms: clockAheadMs(contacts),
    }
  })
}
