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
import type { Kind, Row } from '../../domain/contract'
import type { Moment } from '../../domain/time'
import type { OutboxEntry } from '../queue/entry'
import { freshDevice, type Meta } from './meta'

/** A row of the server's, stamped with the snapshot it came with, so that a newer one can sweep the rest. */
export interface BaseRecord {
  kind: Kind
  id: string
  generation: number
  row: Row
}

/** The picture as it was taken here or made by the server, or the server's small one of it. */
export type PictureSize = 'picture' | 'thumbnail'

export interface PictureRecord {
  id: string
  size: PictureSize
  type: string
  content: ArrayBuffer
  bytes: number
  /** When it was last looked at, as milliseconds of this phone's clock; the longest unseen go first. */
  used_at: number
}

/** A picture taken here that the server has not made yet. Its content is never dropped to make room. */
export interface PendingUpload {
  id: string
  bytes: number
  sha256: string
  /** How many bytes the server has told it holds. */
  sent: number
  added_at: number
  /** Why it cannot be sent, by code and in the server's words; null while it can. */
  trouble: { code: string; words: string } | null
  /** It was taken on a form that is not saved yet: nobody but that form knows of it, and it is not sent. */
  unsaid?: FormPicture
}

/** Which form, such as that of a new finding on a job, and the words a picture will have once it is saved. */
export interface FormPicture {
  form: string
  taken_at: Moment
  caption: string
}

/** What was typed into a form that is not saved yet. */
export interface DraftRecord {
  /** Which form on which thing, such as `finding:<job id>`. */
  name: string
  fields: object
  /** The row that the form changes, as it was when typing began; absent where the form makes a new one. */
  seen?: unknown
  /** Where the form is, as an address of the app, and what stands above it. */
  path: string
  title: string
  over: string
  /** When it was typed last, as milliseconds of this phone's clock. */
  typed_at: number
}

export interface Schema extends DBSchema {
  base: { key: [Kind, string]; value: BaseRecord; indexes: { generation: number } }
  /** Commands not yet seen back from the server, and those that need a person. */
  outbox: { key: string; value: OutboxEntry }
  /** Commands the server has taken, until a backup of the server holds them too. */
  kept: { key: string; value: OutboxEntry }
  /** Refused commands a person has put aside. */
  aside: { key: string; value: OutboxEntry }
  meta: { key: keyof Meta; value: Meta[keyof Meta] }
  /** Pictures by the id of their attachment. The index tells age and size without reading what they hold. */
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
 * The stores of a transaction, for a function that works within one that others opened. Names what is used of
 * them and no more: comparing whole transactions with one another is beyond what the compiler follows.
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

/** Each step takes the database from one version to the next; a step that shipped is never changed. */
const UPGRADES: ((db: IDBPDatabase<Schema>, tx: Upgrading) => void)[] = [
  (db, tx) => {
    db.createObjectStore('base', { keyPath: ['kind', 'id'] }).createIndex('generation', 'generation')
    db.createObjectStore('outbox', { keyPath: 'id' })
    db.createObjectStore('kept', { keyPath: 'id' })
    db.createObjectStore('aside', { keyPath: 'id' })
    db.createObjectStore('meta')
    // A browser that evicts the data makes the next opening a new device, whose numbers begin at 1.
    void tx.objectStore('meta').put(freshDevice(), 'device')
  },
  (db) => {
    db.createObjectStore('pictures', { keyPath: ['id', 'size'] }).createIndex('age', ['used_at', 'bytes'])
    db.createObjectStore('sending', { keyPath: 'id' })
  },
  (db) => {
    db.createObjectStore('drafts', { keyPath: 'name' })
  },
]

/** Whose data a database holds: one member's of one shop. */
export interface ShopMember {
  shop_id: string
  member_id: string
}

export const databaseName = ({ shop_id, member_id }: ShopMember) => `drawbar:${shop_id}:${member_id}`

/**
 * One member's data of one shop on this device. The browser may drop the handle behind our back (phones
 * do, in the background), so a piece of work that finds it dead opens it again and runs once more.
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

  /** Takes the database off the phone, with all that is in it. */
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
    const db = await openDB<Schema>(this.name, UPGRADES.length, {
      upgrade: (opened, from, _, tx) => {
        for (const step of UPGRADES.slice(from)) step(opened, tx)
      },
      terminated: () => {
        this.handle = null
      },
      // A newer version of the app in another tab needs the old handle gone.
      blocking: () => {
        db.close()
        this.handle = null
      },
    })
    return db
  }
}

/** Takes the server's rows out with the places to go on fetching from, and the drafts, which are about them. */
export async function clearRows(tx: Within<'base' | 'meta' | 'drafts'>): Promise<void> {
  const meta = tx.objectStore('meta')
  const places = (['cursor', 'snapshot', 'generation', 'last_synced_at'] as const).map((key) =>
    meta.delete(key),
  )
  await Promise.all([tx.objectStore('base').clear(), tx.objectStore('drafts').clear(), ...places])
}

function abort(tx: { abort(): void }): void {
  try {
    tx.abort()
  } catch {
    // It was over already: that is what is wanted.
  }
}

function isDeadHandle(error: unknown): boolean {
  return (
    error instanceof DOMException && (error.name === 'InvalidStateError' || error.name === 'UnknownError')
  )
}

/** Whether a write failed because the browser grants no more room. */
export function isQuotaError(error: unknown): boolean {
  return error instanceof Error && error.name === 'QuotaExceededError'
}
