import {
  type DBSchema,
  deleteDB,
  type IDBPDatabase,
  type IDBPTransaction,
  type IndexNames,
  openDB,
  type StoreKey,
  type StoreNames,
  type StoreValue,
} from 'idb'
import type { Attachment, Kind, Row } from '../../domain/contract'
import type { Moment } from '../../domain/time'
import type { OutboxEntry } from '../queue/entry'
import { rowsOf0_3, rowsOf0_4 } from './formerRows'
import { freshDevice, type Meta } from './meta'

/** A row of the server with the generation of its snapshot, so that a newer snapshot can remove the rest. */
export interface BaseRecord {
  kind: Kind
  id: string
  generation: number
  row: Row
}

/** The picture as taken here, as processed by the server, or the server's thumbnail. */
export type PictureSize = 'picture' | 'thumbnail'

export interface PictureRecord {
  id: string
  size: PictureSize
  type: string
  content: ArrayBuffer
  bytes: number
  /** When it was last shown, in ms of this phone's clock; the longest unseen are dropped first. */
  used_at: number
}

/** A picture taken here that the server has not processed yet. Its content is never dropped to make room. */
export interface PendingUpload {
  id: string
  bytes: number
  sha256: string
  /** How many bytes the server has received. */
  sent: number
  added_at: number
  /** Why it cannot be sent, by code and message; null while it can. */
  trouble: { code: string; words: string } | null
  /** It was taken on a form that is not saved yet: only the form shows it, and it is not sent. */
  unsaid?: FormPicture
}

/** The form, such as that of a new finding on a job, and the picture's attachment once it is saved. */
export interface FormPicture extends RecordedAs {
  form: string
  taken_at: Moment
  caption: string
}

/** What an attachment is besides a picture that was taken: a voice note with its length, or one drawn on. */
export type RecordedAs = Partial<Pick<Attachment, 'media' | 'seconds' | 'drawn_from_id'>>

/** Input of a form that is not saved yet. */
export interface DraftRecord {
  /** The form and its subject, such as `finding:<job id>`. */
  name: string
  fields: object
  /** The row that the form changes, as it was when typing began; absent where the form makes a new one. */
  seen?: unknown
  /** The form's address in the app, and its heading. */
  path: string
  title: string
  over: string
  /** Time of the last input, in ms of this phone's clock. */
  typed_at: number
}

export interface Schema extends DBSchema {
  base: { key: [Kind, string]; value: BaseRecord; indexes: { generation: number } }
  /** Commands not yet acknowledged by a pull, and those that need a person. */
  outbox: { key: string; value: OutboxEntry }
  /** Acknowledged commands, until a backup of the server holds them too. */
  kept: { key: string; value: OutboxEntry }
  /** Refused commands that a person has discarded. */
  aside: { key: string; value: OutboxEntry }
  meta: { key: keyof Meta; value: Meta[keyof Meta] }
  /** Pictures by the id of their attachment. The index has age and size without their content. */
  pictures: { key: [string, PictureSize]; value: PictureRecord; indexes: { age: [number, number] } }
  sending: { key: string; value: PendingUpload }
  drafts: { key: string; value: DraftRecord }
}

export type StoreName = StoreNames<Schema>
export type Tx<Stores extends StoreName[], Mode extends IDBTransactionMode> = IDBPTransaction<
  Schema,
  Stores,
  Mode
>

/**
 * The stores of a transaction that a caller has opened. Lists only the methods used: TypeScript cannot compare whole
 * transaction types.
 */
export interface Within<Stores extends StoreName> {
  objectStore<One extends Stores>(name: One): StoreWithin<One>
}

interface StoreWithin<One extends StoreName> {
  get(key: StoreKey<Schema, One>): Promise<StoreValue<Schema, One> | undefined>
  getAll(): Promise<StoreValue<Schema, One>[]>
  getAllKeys(): Promise<StoreKey<Schema, One>[]>
  put(value: StoreValue<Schema, One>, key?: StoreKey<Schema, One>): Promise<StoreKey<Schema, One>>
  delete(key: StoreKey<Schema, One>): Promise<void>
  clear(): Promise<void>
  index(name: IndexNames<Schema, One>): {
    getAllKeys(query: IDBKeyRange): Promise<StoreKey<Schema, One>[]>
  }
}

type Upgrading = IDBPTransaction<Schema, StoreName[], 'versionchange'>

/** Each step upgrades the database by one version, after the step before it; a released step is never changed. */
const UPGRADES: ((db: IDBPDatabase<Schema>, tx: Upgrading) => void | Promise<void>)[] = [
  (db, tx) => {
    db.createObjectStore('base', { keyPath: ['kind', 'id'] }).createIndex('generation', 'generation')
    db.createObjectStore('outbox', { keyPath: 'id' })
    db.createObjectStore('kept', { keyPath: 'id' })
    db.createObjectStore('aside', { keyPath: 'id' })
    db.createObjectStore('meta')
    // After an eviction of the data the next start is a new device, whose numbers begin at 1.
    void tx.objectStore('meta').put(freshDevice(), 'device')
  },
  (db) => {
    db.createObjectStore('pictures', { keyPath: ['id', 'size'] }).createIndex('age', ['used_at', 'bytes'])
    db.createObjectStore('sending', { keyPath: 'id' })
  },
  (db) => {
    db.createObjectStore('drafts', { keyPath: 'name' })
  },
  (_, tx) => convertRows(tx, rowsOf0_3),
  (_, tx) => convertRows(tx, rowsOf0_4),
]

/** Rewrites what an earlier version stored; every row is fetched again, since the server did not change each. */
async function convertRows(tx: Upgrading, convert: (record: BaseRecord) => BaseRecord[]): Promise<void> {
  const base = tx.objectStore('base')
  for (const record of await base.getAll()) {
    await base.delete([record.kind, record.id])
    for (const row of convert(record)) await base.put(row)
  }
  for (const key of ['cursor', 'snapshot'] as const) await tx.objectStore('meta').delete(key)
}

/** The owner of a database: one member of one shop. */
export interface ShopMember {
  shop_id: string
  member_id: string
}

export const databaseName = ({ shop_id, member_id }: ShopMember) => `drawbar:${shop_id}:${member_id}`

/**
 * One member's data of one shop on this device. The browser may close the handle (phones do, in the background); a
 * transaction that finds it closed reopens it and runs again.
 */
export class ShopDatabase {
  private handle: Promise<IDBPDatabase<Schema>> | null = null
  readonly name: string

  constructor(name: string) {
    this.name = name
  }

  /**
   * Runs `work` in one transaction and resolves after it is complete.
   *
   * @throws what `work` throws, after the transaction is aborted; `QuotaExceededError` when the phone is full
   */
  async run<Mode extends IDBTransactionMode, Stores extends StoreName[], Result>(
    mode: Mode,
    stores: Stores,
    work: (tx: Tx<Stores, Mode>) => Promise<Result>,
    durability: IDBTransactionDurability = 'default',
  ): Promise<Result> {
    try {
      return await this.attempt(mode, stores, work, durability)
    } catch (error) {
      if (!isDeadHandle(error)) throw error
      this.handle = null
      return await this.attempt(mode, stores, work, durability)
    }
  }

  async close(): Promise<void> {
    const handle = this.handle
    this.handle = null
    await handle?.then(
      (db) => db.close(),
      () => undefined,
    )
  }

  /** Deletes the database. */
  async destroy(): Promise<void> {
    await this.close()
    await deleteDB(this.name)
  }

  private async attempt<Mode extends IDBTransactionMode, Stores extends StoreName[], Result>(
    mode: Mode,
    stores: Stores,
    work: (tx: Tx<Stores, Mode>) => Promise<Result>,
    durability: IDBTransactionDurability,
  ): Promise<Result> {
    const db = await this.open()
    const tx = db.transaction(stores, mode, { durability })
    try {
      const result = await work(tx)
      await tx.done
      return result
    } catch (error) {
      abort(tx)
      await tx.done.catch(() => undefined)
      throw tx.error ?? error
    }
  }

  private open(): Promise<IDBPDatabase<Schema>> {
    this.handle ??= this.openNow().catch((error: unknown) => {
      this.handle = null
      throw error
    })
    return this.handle
  }

  private async openNow(): Promise<IDBPDatabase<Schema>> {
    let failure: unknown
    const db = await openDB<Schema>(this.name, UPGRADES.length, {
      // `openDB` does not wait for it: a step that fails later must abort, or its first half would be stored.
      upgrade: async (opened, from, _, tx) => {
        try {
          for (const step of UPGRADES.slice(from)) await step(opened, tx)
        } catch (error) {
          failure = error
          tx.done.catch(() => undefined)
          abort(tx)
        }
      },
      terminated: () => {
        this.handle = null
      },
      // A newer version of the app in another tab needs the old handle gone.
      blocking: () => {
        db.close()
        this.handle = null
      },
    }).catch((error: unknown) => {
      throw failure ?? error
    })
    return db
  }
}

/** Deletes the server's rows with their cursors, and the drafts about them. */
export async function clearRows(tx: Within<'base' | 'meta' | 'drafts'>): Promise<void> {
  const meta = tx.objectStore('meta')
  const places = (['cursor', 'snapshot', 'first', 'generation', 'last_synced_at'] as const).map((key) =>
    meta.delete(key),
  )
  await Promise.all([tx.objectStore('base').clear(), tx.objectStore('drafts').clear(), ...places])
}

function abort(tx: { abort(): void }): void {
  try {
    tx.abort()
  } catch {
    // Already closed, as intended.
  }
}

function isDeadHandle(error: unknown): boolean {
  return (
    error instanceof DOMException && (error.name === 'InvalidStateError' || error.name === 'UnknownError')
  )
}

/** Whether a write failed for lack of storage. */
export function isQuotaError(error: unknown): boolean {
  return error instanceof Error && error.name === 'QuotaExceededError'
}
