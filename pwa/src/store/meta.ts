import { newId } from './clock'

/** This browser as the server knows it. `letter` and `epoch` are null until the server has answered. */
export interface Device {
  id: string
  letter: string | null
  /** The epoch of the server's history the device was made known in. */
  epoch: string | null
  /** The server took this device off the shop's list. */
  retired: boolean
  /** This phone's data was copied from another, so it numbers its commands anew. */
  forked: boolean
}

export function freshDevice({ forked = false } = {}): Device {
  return { id: newId(), letter: null, epoch: null, retired: false, forked }
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
  /** The generation of the rows last fetched whole; absent until that has happened once. */
  generation: number
  /** Up to here a backup of the server holds this device's commands. */
  safe_no: number
  last_synced_at: string
}

export interface ReadsMeta {
  objectStore(name: 'meta'): { get(key: keyof Meta): Promise<Meta[keyof Meta] | undefined> }
}

export interface WritesMeta {
  objectStore(name: 'meta'): { put(value: Meta[keyof Meta], key: keyof Meta): Promise<unknown> }
}

export async function readMeta<Key extends keyof Meta>(
  tx: ReadsMeta,
  key: Key,
): Promise<Meta[Key] | undefined> {
  return (await tx.objectStore('meta').get(key)) as Meta[Key] | undefined
}

export async function writeMeta<Key extends keyof Meta>(
  tx: WritesMeta,
  key: Key,
  value: Meta[Key],
): Promise<void> {
  await tx.objectStore('meta').put(value, key)
}

/** The device, which is there from the moment the database was made. */
export async function deviceIn(tx: ReadsMeta): Promise<Device> {
  const device = await readMeta(tx, 'device')
  if (!device) throw new TypeError('a database is made with a device in it')
  return device
}
