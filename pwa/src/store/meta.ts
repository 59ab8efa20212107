import type { Tx } from './db'

/** This browser as the server knows it. `letter` is null until the server has answered. */
export interface Device {
  id: string
  letter: string | null
  /** The epoch of the server's history the device was made known in. */
  epoch: string | null
  /** The server took this device off the shop's list. */
  retired: boolean
}

/** A snapshot being fetched: where to go on, the cursor to pull from when done, and its generation. */
export interface SnapshotProgress {
  after: string | null
  cursor: string
  generation: number
}

/** Single values of a member's database, by key. */
export interface Meta {
  device: Device
  /** The number the next command gets. */
  next_no: number
  /** How many jobs and quotes got a provisional mark from this device. */
  marks: number
  cursor: string
  snapshot: SnapshotProgress
  /** The generation of the rows last swept. */
  generation: number
  /** Up to here a backup of the server holds this device's commands. */
  safe_no: number
  last_synced_at: string
  /** This device was copied from another and has begun a number range of its own. */
  forked: boolean
}

type Readable = Tx<['meta', ...never[]], IDBTransactionMode>

export async function readMeta<Key extends keyof Meta>(tx: unknown, key: Key): Promise<Meta[Key] | undefined> {
  return (await (tx as Readable).objectStore('meta').get(key)) as Meta[Key] | undefined
}

export async function writeMeta<Key extends keyof Meta>(tx: unknown, key: Key, value: Meta[Key]): Promise<void> {
  await (tx as Tx<['meta', ...never[]], 'readwrite'>).objectStore('meta').put(value, key)
}
